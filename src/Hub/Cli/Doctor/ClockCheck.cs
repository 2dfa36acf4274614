using System.Diagnostics;
using System.Globalization;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the machine's clocks can be trusted. Kits prove themselves with tokens of 60 s, so wall clocks must agree to a minute.</summary>
internal static class ClockCheck
{
    /// <summary>No clock that is right shows a year before the first release.</summary>
    private const int EarliestYear = 2025;

    private const int LatestYear = 2100;

    /// <summary>Leases are counted in ms; a coarser clock could not tell them apart.</summary>
    private const long LeastTicksPerSecond = 10_000;

    public static IEnumerable<Finding> Examine(TimeProvider clock)
    {
        var now = clock.GetLocalNow();
        var text = string.Create(CultureInfo.InvariantCulture, $"{now:yyyy-MM-dd HH:mm:ss}, {now:zzz} from UTC ({clock.LocalTimeZone.Id}).");
        yield return now.Year is >= EarliestYear and <= LatestYear
            ? new Finding(Sign.Ok, "clock", text)
            : new Finding(Sign.Fault, "clock", text, "The date cannot be right: certificates and kits' tokens would be judged wrongly. Set the clock, best from the network.");

        var before = clock.GetTimestamp();
        var after = clock.GetTimestamp();
        yield return after >= before && clock.TimestampFrequency >= LeastTicksPerSecond && Stopwatch.IsHighResolution
            ? new Finding(Sign.Ok, "monotonic clock", string.Create(CultureInfo.InvariantCulture, $"{clock.TimestampFrequency} ticks a second."))
            : new Finding(Sign.Fault, "monotonic clock", "runs backwards or too coarsely.", "Sound leases cannot be timed on this machine; use another one.");
    }
}
