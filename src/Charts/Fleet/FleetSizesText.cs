using System.Globalization;

namespace TeleHearing.Charts;

/// <summary>Fleet sizes in words.</summary>
public static class FleetSizesText
{
    private const double Hundred = 100;

    /// <summary>The description a screen reader reads after the title.</summary>
    public static string Describe(FleetSizes sizes)
    {
        if (sizes.Points.Count == 0)
        {
            return "No fleet size to show.";
        }

        var (first, last) = (sizes.Points[0], sizes.Points[^1]);
        var range = string.Create(CultureInfo.InvariantCulture, $"From {Percent(first.Refused)} refused with {first.Kits} kits at work to {Percent(last.Refused)} with {last.Kits}.");
        var smallest = sizes.Smallest is { } enough
            ? string.Create(CultureInfo.InvariantCulture, $" The wished {Percent(sizes.Target)} is kept from {enough.Kits} on.")
            : $" None of these keeps the wished {Percent(sizes.Target)}.";
        var today = (sizes.Today, sizes.TodayKits) switch
        {
            ({ } point, _) => string.Create(CultureInfo.InvariantCulture, $" Today {point.Kits} are at work: {Percent(point.Refused)}, {(point.KeepsTarget ? "within the wish" : "over the wish")}."),
            (null, { } kits) => string.Create(CultureInfo.InvariantCulture, $" Today {kits} are at work, which lies outside the drawing."),
            _ => string.Empty,
        };
        return range + smallest + today;
    }

    /// <summary>A share as people read it: two digits below one in a hundred, and never a nought that is none.</summary>
    /// <param name="share">Share, 0 to 1.</param>
    public static string Percent(double share) => (share * Hundred) switch
    {
        0 => "0 %",
        < 0.01 => "under 0.01 %",
        < 1 => string.Create(CultureInfo.InvariantCulture, $"{share * Hundred:0.##} %"),
        < 10 => string.Create(CultureInfo.InvariantCulture, $"{share * Hundred:0.#} %"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{share * Hundred:0} %"),
    };
}
