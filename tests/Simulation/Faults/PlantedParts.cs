using System.Buffers.Text;
using System.Text.Json;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Simulation.Faults;

/// <summary>A lease whose clock stands still: once given, it ends only with the link.</summary>
internal static class StandingLease
{
    public static void Put(IServiceCollection services) => services.AddSingleton(new LeaseClock(new StandingClock()));

    private sealed class StandingClock : TimeProvider
    {
        public override long GetTimestamp() => 0;

        public override DateTimeOffset GetUtcNow() => DateTimeOffset.UnixEpoch;
    }
}

/// <summary>An acknowledgement of reports that were handed to nobody.</summary>
internal static class AcknowledgedUnseen
{
    public static ReportAck Of(SignedReports signed) =>
        new(JsonSerializer.Deserialize<KitBatch>(Base64Url.DecodeFromChars(signed.Signed.Split('.')[1]), Protocol.Json)!.Reports[^1].Sequence, null);
}
