using Serilog.Core;
using Serilog.Events;

namespace TeleHearing.Hub.Hosting;

/// <summary>Takes the address of a request off every log line: the codes of sign-in links and invitations stand in addresses.</summary>
internal sealed class WithoutAddresses : ILogEventEnricher
{
    public void Enrich(LogEvent logEvent, ILogEventPropertyFactory propertyFactory) => logEvent.RemovePropertyIfPresent("RequestPath");
}
