using System.Globalization;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>Days the board counts with where no booking gives one. All are the clinic's habits, not rules (design).</summary>
internal static class BoardDays
{
    /// <summary>Days a site has to open a parcel, or to hand a packed one to the carrier.</summary>
    public const int SiteActs = 2;

    /// <summary>Days before its end on which a calibration is seen to.</summary>
    public const int CalibrationNotice = 30;

    /// <summary>A day in words.</summary>
    public static string Words(DateOnly day) => day.ToString("d MMMM", CultureInfo.InvariantCulture);

    /// <summary>A number of days in words.</summary>
    public static string Count(int days) => days == 1 ? "1 day" : string.Create(CultureInfo.InvariantCulture, $"{days} days");
}
