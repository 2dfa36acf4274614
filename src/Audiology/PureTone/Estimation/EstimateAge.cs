using System.Globalization;
using TeleHearing.Audiology.Interpretation;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>The age an estimate begins from.</summary>
/// <param name="Years">Age in years, inside what ISO 7029:2017 covers; absent when the estimate begins without one.</param>
/// <param name="Note">What is to be known of it, as a sentence; absent when the age is taken as it is.</param>
public sealed record EstimateAge(int? Years, string? Note)
{
    /// <summary>Highest age that is believed, years. Above it a date of birth is taken for mistaken: nobody is known to have been much older (common knowledge; a design limit).</summary>
    public const int HighestBelievedYears = 120;

    /// <summary>What an age comes to. Never fails: an age that cannot be right counts as unknown.</summary>
    /// <param name="ageYears">Age in whole years; absent when unknown.</param>
    public static EstimateAge Of(int? ageYears) => ageYears switch
    {
        null => new(null, null),
        < 0 or > HighestBelievedYears => new(null, Say($"The date of birth gives an age of {ageYears} years, which cannot be right: the estimate begins as for a person of any age. Correct the date.")),
        < (int)AgeThresholds.YoungestYears => Nearest((int)AgeThresholds.YoungestYears, ageYears.Value),
        > (int)AgeThresholds.OldestYears => Nearest((int)AgeThresholds.OldestYears, ageYears.Value),
        _ => new(ageYears, null),
    };

    /// <summary>Whole years from a date of birth to a day; below 0 when it lies after the day.</summary>
    public static int WholeYears(DateOnly birth, DateOnly day)
    {
        var years = day.Year - birth.Year;
        return (day.Month, day.Day).CompareTo((birth.Month, birth.Day)) < 0 ? years - 1 : years;
    }

    private static EstimateAge Nearest(int years, int ageYears) =>
        new(years, Say($"{AgeThresholds.Edition} covers {AgeThresholds.YoungestYears} to {AgeThresholds.OldestYears} years: the estimate begins as at {years} years, not {ageYears}."));

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
