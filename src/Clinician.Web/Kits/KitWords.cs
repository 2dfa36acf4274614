using System.Globalization;
using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Clinician.Web.Kits;

/// <summary>Words about kits.</summary>
public static class KitWords
{
    /// <summary>A day.</summary>
    public static string Day(DateOnly day) => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture);

    /// <summary>Days left of a calibration.</summary>
    public static string DaysLeft(int days) => days switch
    {
        < -1 => string.Create(CultureInfo.InvariantCulture, $"over since {-days} days"),
        -1 => "over since yesterday",
        0 => "today is the last day",
        1 => "1 day left",
        _ => string.Create(CultureInfo.InvariantCulture, $"{days} days left"),
    };

    /// <summary>Where a calibration stands: a sign and words, never the colour alone.</summary>
    public static string Standing(CalibrationStanding standing) => standing switch
    {
        CalibrationStanding.Holds => "✓ holds",
        CalibrationStanding.EndsSoon => "▲ ends soon",
        _ => "✕ over",
    };

    /// <summary>What a known-ear check says about the kit.</summary>
    public static string Verdict(KnownEarVerdict verdict) => verdict switch
    {
        KnownEarVerdict.Passed => "✓ no shift of 10 dB or more",
        KnownEarVerdict.CalibrationNeeded => "▲ calibration needed",
        _ => "✕ exhaustive calibration needed",
    };

    /// <summary>How the kit is used, and how long a calibration holds because of it.</summary>
    public static string Use(GearUse use) => string.Create(
        CultureInfo.InvariantCulture,
        $"{(use == GearUse.Moved ? "moved from place to place" : "stays in its room")}: {CalibrationValidity.Months(use)} months");

    /// <summary>Reads a number as people write it, with a point or a comma.</summary>
    public static bool TryNumber(string? text, out double number) =>
        double.TryParse(text?.Trim().Replace(',', '.').Replace('\u2212', '-'), NumberStyles.AllowLeadingSign | NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out number)
        && double.IsFinite(number);
}
