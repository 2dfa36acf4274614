namespace TeleHearing.Hub.Data;

/// <summary>How long records of care are kept before they may be erased.</summary>
internal static class Keeping
{
    /// <summary>Years after the last entry of a session that count when nobody sets others. Common practice for records of adults; local law decides, and it asks for more for children.</summary>
    public const int UsualYears = 10;

    /// <summary>Most that can be set.</summary>
    public const int MostYears = 100;

    /// <summary>Why a number of years cannot be; null when it can.</summary>
    public static string? Fault(int years) => years is >= 0 and <= MostYears
        ? null
        : $"The years to keep records must be from 0 to {MostYears}, not {years.ToString(System.Globalization.CultureInfo.InvariantCulture)}. Nothing was erased.";

    /// <summary>Last day on which a record is kept.</summary>
    public static DateOnly Until(DateTimeOffset lastEntry, int years)
    {
        var day = DateOnly.FromDateTime(lastEntry.UtcDateTime);
        return day.Year + years > DateOnly.MaxValue.Year ? DateOnly.MaxValue : day.AddYears(years);
    }
}
