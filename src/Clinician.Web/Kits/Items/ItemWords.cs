using System.Globalization;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Items;

/// <summary>Words and numbers about what is in a case.</summary>
public static class ItemWords
{
    /// <summary>A mass, a volume or an energy, to the gram and the millilitre.</summary>
    public static string Amount(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);

    /// <summary>When a case was counted.</summary>
    public static string Of(CountOccasion occasion) => occasion switch
    {
        CountOccasion.Packed => "packed for a loan",
        CountOccasion.CheckedIn => "opened at the site",
        CountOccasion.PackedUp => "packed at the site",
        CountOccasion.Received => "back, opened",
        CountOccasion.Inspected => "counted at the inspection",
        CountOccasion.Restocked => "filled up",
        _ => "counted on the shelf",
    };
}
