using System.Globalization;
using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Charts;

/// <summary>A known-ear history in words.</summary>
public static class KnownEarText
{
    /// <summary>The description a screen reader reads after the title.</summary>
    public static string Describe(KnownEarHistory history)
    {
        var points = history.Points;
        if (points.Count == 0)
        {
            return "No checks yet.";
        }

        var checks = points.Select(point => point.At).Distinct().Count();
        var worst = points.MaxBy(point => Math.Abs(point.ShiftDb))!;
        var beyond = points.Where(point => Math.Abs(point.ShiftDb) >= KnownEarRules.CalibrationShiftDb).Select(point => point.At).Distinct().Count();
        return string.Create(
            CultureInfo.InvariantCulture,
            $"{checks} {(checks == 1 ? "check" : "checks")} from {Day(points.Min(point => point.At))} to {Day(points.Max(point => point.At))}. Largest shift {Db(worst.ShiftDb)} dB, {OutcomeText.Name(worst.Ear).ToLowerInvariant()} ear at {worst.FrequencyHz} Hz on {Day(worst.At)}. {(beyond == 0 ? "None reached 10 dB." : $"{beyond} reached 10 dB or more.")}");
    }

    /// <summary>What a shift means, in a few words.</summary>
    public static string Meaning(double shiftDb) => Math.Abs(shiftDb) switch
    {
        >= KnownEarRules.ExhaustiveShiftDb => "exhaustive calibration",
        >= KnownEarRules.CalibrationShiftDb => "calibration",
        _ => "within 10 dB",
    };

    /// <summary>A shift with its sign.</summary>
    public static string Db(double shiftDb) => shiftDb > 0 ? "+" + OutcomeText.Number(shiftDb) : OutcomeText.Number(shiftDb);

    internal static string Day(DateTimeOffset at) => at.ToString("d MMM yyyy", CultureInfo.InvariantCulture);
}
