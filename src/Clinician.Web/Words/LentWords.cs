using System.Globalization;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Loans of control in words.</summary>
public static class LentWords
{
    /// <summary>How much time is left.</summary>
    public static string Left(TimeSpan left) => left.TotalMinutes switch
    {
        <= 0 => "the time is over",
        < 1 => "less than a minute left",
        < 2 => "1 minute left",
        var minutes => string.Create(CultureInfo.InvariantCulture, $"{Math.Floor(minutes):0} minutes left"),
    };
}
