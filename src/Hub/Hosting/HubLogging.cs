using Serilog;
using Serilog.Events;
using Serilog.Formatting.Compact;

namespace TeleHearing.Hub.Hosting;

/// <summary>The only place that knows where log lines go. They carry ids and kinds, never names or health data.</summary>
internal static class HubLogging
{
    public static void AddHubLogging(this IServiceCollection services, HubSettings settings) =>
        services.AddSerilog(
            configuration =>
            {
                configuration
                    .MinimumLevel.Information()
                    // Request lines would carry the kits' assertions and the sign-in codes, which stand in addresses.
                    .MinimumLevel.Override("Microsoft", LogEventLevel.Warning)
                    .MinimumLevel.Override("Microsoft.Hosting.Lifetime", LogEventLevel.Information)
                    // Says each refused kit connection twice more.
                    .MinimumLevel.Override("TeleHearing.Hub.Kits.KitKeyHandler", LogEventLevel.Warning)
                    // Says every failed statement twice, a lost race among them; what matters is logged where it is handled.
                    .MinimumLevel.Override("Microsoft.EntityFrameworkCore", LogEventLevel.Fatal)
                    // What an issuer says of a person, and what a stranger writes into the address that leads back, is in no log; that a sign-in was refused is told by its kind alone (1602).
                    .MinimumLevel.Override("Microsoft.AspNetCore.Authentication.OpenIdConnect", LogEventLevel.Fatal)
                    .MinimumLevel.Override("Microsoft.Identity", LogEventLevel.Fatal)
                    .MinimumLevel.Override("Microsoft.IdentityModel", LogEventLevel.Fatal)
                    // Whatever is warned of while a request is answered would name its address.
                    .Enrich.With<WithoutAddresses>()
                    .WriteTo.File(
                        new CompactJsonFormatter(),
                        Path.Combine(settings.DataFolder, "logs", "hub-.jsonl"),
                        rollingInterval: RollingInterval.Day,
                        retainedFileCountLimit: 30,
                        shared: true);
                if (settings.LogToConsole)
                {
                    configuration.WriteTo.Console(formatProvider: System.Globalization.CultureInfo.InvariantCulture);
                }
            },
            // Each hub of a process has a log of its own; the library's static one would be shared, and closed by whichever hub ends first.
            preserveStaticLogger: true,
            writeToProviders: true);
}
