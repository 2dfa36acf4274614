using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Items;

/// <summary>Words about counts.</summary>
public static class ItemWords
{
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
