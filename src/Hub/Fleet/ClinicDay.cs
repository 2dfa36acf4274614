using TeleHearing.Hub.Fleet.Loans;

namespace TeleHearing.Hub.Fleet;

/// <summary>
/// The clinic's day. Kits, their board and loans all ask for the day here, so that one decision has one "today": the hub may run in another zone than the clinic, and a kit would refuse in the evening what its loan allows.
/// </summary>
/// <param name="Zone">The clinic's zone by its terms; UTC while the terms name none that is known.</param>
/// <param name="Today">The day there now.</param>
internal sealed record ClinicDay(TimeZoneInfo Zone, DateOnly Today)
{
    public static ClinicDay Of(FleetState state, DateTimeOffset now)
    {
        var zone = ZoneOf(state);
        return new ClinicDay(zone, On(now, zone));
    }

    /// <summary>The clinic's zone by its terms.</summary>
    public static TimeZoneInfo ZoneOf(FleetState state) => LoanBooking.Zone(state.Terms.Zone) ?? TimeZoneInfo.Utc;

    /// <summary>The clinic's day of a moment.</summary>
    public DateOnly On(DateTimeOffset at) => On(at, Zone);

    private static DateOnly On(DateTimeOffset at, TimeZoneInfo zone) => DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(at, zone).DateTime);
}
