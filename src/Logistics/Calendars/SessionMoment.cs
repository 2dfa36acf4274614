namespace TeleHearing.Logistics.Calendars;

/// <summary>When a session is, seen from both ends. It has one instant and two local dates, which differ near midnight and between zones.</summary>
/// <remarks>
/// Zones are passed in as the system knows them and are never stored as an offset, so that a session keeps its hour on the wall when the clocks change.
/// Counting is done in dates, so an hour lost or gained at a change moves no date of a booking.
/// </remarks>
public sealed record SessionMoment
{
    private SessionMoment(DateTimeOffset instant, DateTimeOffset atSite, DateTimeOffset atClinic) => (Instant, AtSite, AtClinic) = (instant, atSite, atClinic);

    /// <summary>The instant, UTC.</summary>
    public DateTimeOffset Instant { get; }

    /// <summary>Date and hour on the wall where the kit is.</summary>
    public DateTimeOffset AtSite { get; }

    /// <summary>Date and hour on the wall at the clinic.</summary>
    public DateTimeOffset AtClinic { get; }

    /// <summary>Date at the site; bookings count from it, because the kit must be there.</summary>
    public DateOnly SiteDay => DateOnly.FromDateTime(AtSite.DateTime);

    /// <summary>Date at the clinic.</summary>
    public DateOnly ClinicDay => DateOnly.FromDateTime(AtClinic.DateTime);

    /// <summary>Whether the two ends write different dates for it: worth saying when the session is agreed.</summary>
    public bool DatesDiffer => SiteDay != ClinicDay;

    /// <summary>The moment of an instant.</summary>
    /// <param name="instant">When it is.</param>
    /// <param name="site">Zone of the site.</param>
    /// <param name="clinic">Zone of the clinic.</param>
    public static SessionMoment At(DateTimeOffset instant, TimeZoneInfo site, TimeZoneInfo clinic)
    {
        ArgumentNullException.ThrowIfNull(site);
        ArgumentNullException.ThrowIfNull(clinic);
        Require.Date(DateOnly.FromDateTime(instant.UtcDateTime), nameof(instant));
        return new SessionMoment(instant.ToUniversalTime(), TimeZoneInfo.ConvertTime(instant, site), TimeZoneInfo.ConvertTime(instant, clinic));
    }

    /// <summary>What the clock on the wall at the site means, or why it means no instant, or two.</summary>
    /// <param name="localTime">Date and hour at the site; its kind is not looked at.</param>
    /// <param name="site">Zone of the site.</param>
    /// <param name="clinic">Zone of the clinic.</param>
    /// <returns>The moment, or the sentence that says why there is none: the hour that is skipped in spring, or the one that is there twice in autumn.</returns>
    public static (SessionMoment? Moment, string? Fault) AtSiteTime(DateTime localTime, TimeZoneInfo site, TimeZoneInfo clinic)
    {
        ArgumentNullException.ThrowIfNull(site);
        var wall = DateTime.SpecifyKind(localTime, DateTimeKind.Unspecified);
        Require.Date(DateOnly.FromDateTime(wall), nameof(localTime));
        if (site.IsInvalidTime(wall))
        {
            return (null, $"{wall:yyyy-MM-dd HH:mm} does not happen at the site: the clocks are put forward over it. Choose an hour later.");
        }

        return site.IsAmbiguousTime(wall)
            ? (null, $"{wall:yyyy-MM-dd HH:mm} happens twice at the site: the clocks are put back over it. Choose another hour.")
            : (At(new DateTimeOffset(wall, site.GetUtcOffset(wall)), site, clinic), null);
    }
}
