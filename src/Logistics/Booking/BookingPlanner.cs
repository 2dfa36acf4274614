using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Booking;

/// <summary>Finds the dates of a loan, backwards from its session to the day it must be sent, and onwards to the day the kit is free again.</summary>
/// <remarks>
/// Whole days are kept between arrival and session, and between return and the next sending: neither the hour of a delivery nor that of a session is known, so
/// the day of arrival counts for nothing. Days in transit and until collection are plain differences.
/// With 3 days of transit, 1 to settle, 1 to pick up and 2 of turnaround, a session on Wednesday 2026-03-18 ships on Wednesday 11, arrives on Monday 16,
/// is back on Tuesday 24 and bookable on Friday 27 (worked case of the project's practice reference).
/// Dates at the two ends are compared as they are written there; between zones far apart a day of transit may be nearly a day longer or shorter than it looks.
/// </remarks>
public static class BookingPlanner
{
    /// <summary>Longest time from the first session to the last, days (design).</summary>
    public const int LongestUseDays = 366;

    /// <summary>Books backwards from one session.</summary>
    /// <param name="session">When it is.</param>
    /// <param name="days">How long each part takes.</param>
    /// <param name="calendars">Working days of both ends.</param>
    public static KitBooking Backwards(SessionMoment session, BookingDays days, CalendarPair calendars)
    {
        ArgumentNullException.ThrowIfNull(session);
        return Backwards(session.SiteDay, session.SiteDay, days, calendars);
    }

    /// <summary>Books backwards from the first of several sessions and onwards from the last.</summary>
    /// <param name="firstSession">Day of the first, site's date; it need not be a working day.</param>
    /// <param name="lastSession">Day of the last, site's date.</param>
    /// <param name="days">How long each part takes.</param>
    /// <param name="calendars">Working days of both ends.</param>
    /// <exception cref="ArgumentOutOfRangeException">A day or a length cannot be right.</exception>
    public static KitBooking Backwards(DateOnly firstSession, DateOnly lastSession, BookingDays days, CalendarPair calendars)
    {
        Check(days, calendars);
        Require.Date(firstSession);
        Require.Date(lastSession);
        Require.Count(lastSession.DayNumber - firstSession.DayNumber, 0, LongestUseDays, nameof(lastSession));
        var latestReady = calendars.Site.PreviousWorkingDay(firstSession);
        var latestArrival = calendars.Site.AddWorkingDays(latestReady, -days.SettleDays);
        var ship = LatestSending(latestArrival, days.TransitOutDays, calendars);
        var (arrives, ready) = Outward(ship, days, calendars);
        return Complete(ship, arrives, ready, firstSession, lastSession, days, calendars);
    }

    /// <summary>The first session a kit can serve when it is sent on or after a day.</summary>
    /// <param name="from">First day on which it could be sent, clinic's date.</param>
    /// <param name="days">How long each part takes.</param>
    /// <param name="calendars">Working days of both ends.</param>
    /// <returns>The booking of that session, which is on a working day of the site; its sending is on or after the day asked.</returns>
    public static KitBooking Earliest(DateOnly from, BookingDays days, CalendarPair calendars)
    {
        Check(days, calendars);
        var (_, ready) = Outward(calendars.Clinic.OnOrAfter(from), days, calendars);
        var session = calendars.Site.NextWorkingDay(ready);
        return Backwards(session, session, days, calendars);
    }

    /// <summary>Keeps a kit longer: the way out stays, everything after the last session moves.</summary>
    /// <param name="booking">The loan as it is.</param>
    /// <param name="lastUse">New day of the last session, site's date; it may also be earlier, not before the first.</param>
    /// <param name="days">How long each part takes.</param>
    /// <param name="calendars">Working days of both ends.</param>
    public static KitBooking Extend(KitBooking booking, DateOnly lastUse, BookingDays days, CalendarPair calendars)
    {
        ArgumentNullException.ThrowIfNull(booking);
        Check(days, calendars);
        Require.Date(lastUse);
        Require.Count(lastUse.DayNumber - booking.Session.DayNumber, 0, LongestUseDays, nameof(lastUse));
        return Complete(booking.ShipBy, booking.Arrives, booking.ReadyAtSite, booking.Session, lastUse, days, calendars);
    }

    /// <summary>Keeps a kit until a day on which it is to be back: the sessions stay, and it is collected as late as the way back allows.</summary>
    /// <param name="booking">The loan as it is.</param>
    /// <param name="back">New day it is to be back, clinic's date; not before the one it has.</param>
    /// <param name="bookable">First day it may be sent again, clinic's date.</param>
    /// <param name="days">How long each part takes.</param>
    /// <param name="calendars">Working days of both ends.</param>
    public static KitBooking BackOn(KitBooking booking, DateOnly back, DateOnly bookable, BookingDays days, CalendarPair calendars)
    {
        ArgumentNullException.ThrowIfNull(booking);
        Check(days, calendars);
        Require.Date(back);
        Require.Count(back.DayNumber - booking.DueBack.DayNumber, 0, LongestUseDays, nameof(back));
        Require.Count(bookable.DayNumber - back.DayNumber, 0, LongestUseDays, nameof(bookable));
        var latest = calendars.Site.OnOrBefore(days.TransitBackDays == 0 ? back : calendars.Both.AddWorkingDays(calendars.Both.OnOrBefore(back), -days.TransitBackDays));
        var pickedUp = latest > booking.PickedUp ? latest : booking.PickedUp;
        BookingStep[] after =
        [
            new(BookingStage.PickUp, booking.LastUse, pickedUp, days.PickUpDays, BookingEnd.Site, BookingReasons.KeptLonger(pickedUp)),
            new(BookingStage.TransitBack, pickedUp, back, days.TransitBackDays, BookingEnd.Both, BookingReasons.TransitBack(pickedUp, back, days.TransitBackDays, calendars)),
            new(BookingStage.Turnaround, back, bookable, days.TurnaroundDays, BookingEnd.Clinic, BookingReasons.Turnaround(back, bookable, days.TurnaroundDays, calendars)),
        ];
        return booking with
        {
            PickedUp = pickedUp,
            DueBack = back,
            BookableFrom = bookable,
            Steps = [.. booking.Steps.Where(step => step.Stage is not (BookingStage.PickUp or BookingStage.TransitBack or BookingStage.Turnaround)), .. after],
        };
    }

    /// <summary>When a kit sent on a day arrives, and at the end of which day it is settled.</summary>
    internal static (DateOnly Arrives, DateOnly Ready) Outward(DateOnly ship, BookingDays days, CalendarPair calendars)
    {
        var arrives = calendars.Site.OnOrAfter(calendars.Both.AddWorkingDays(ship, days.TransitOutDays));
        return (arrives, calendars.Site.AddWorkingDays(arrives, days.SettleDays));
    }

    private static DateOnly LatestSending(DateOnly latestArrival, int transitDays, CalendarPair calendars)
    {
        if (transitDays == 0)
        {
            return calendars.Clinic.OnOrBefore(latestArrival);
        }

        var counted = calendars.Both.AddWorkingDays(calendars.Both.OnOrBefore(latestArrival), -transitDays);

        // The site may be shut for some days after this one while the clinic works: sending on the last of them arrives no later.
        return calendars.Clinic.PreviousWorkingDay(calendars.Both.NextWorkingDay(counted));
    }

    private static KitBooking Complete(
        DateOnly ship, DateOnly arrives, DateOnly ready, DateOnly session, DateOnly lastUse, BookingDays days, CalendarPair calendars)
    {
        var pickedUp = calendars.Site.OnOrAfter(calendars.Site.AddWorkingDays(lastUse, days.PickUpDays));
        var back = calendars.Clinic.OnOrAfter(calendars.Both.AddWorkingDays(pickedUp, days.TransitBackDays));
        var bookable = calendars.Clinic.AddWorkingDays(back, days.TurnaroundDays + 1);
        BookingStep[] steps =
        [
            new(BookingStage.TransitOut, ship, arrives, days.TransitOutDays, BookingEnd.Both, BookingReasons.TransitOut(ship, arrives, days.TransitOutDays, calendars)),
            new(BookingStage.Settle, arrives, ready, days.SettleDays, BookingEnd.Site, BookingReasons.Settle(arrives, ready, session, days.SettleDays, calendars)),
            new(BookingStage.Session, session, lastUse, 0, BookingEnd.Site, BookingReasons.Session(session, lastUse)),
            new(BookingStage.PickUp, lastUse, pickedUp, days.PickUpDays, BookingEnd.Site, BookingReasons.PickUp(lastUse, pickedUp, days.PickUpDays, calendars)),
            new(BookingStage.TransitBack, pickedUp, back, days.TransitBackDays, BookingEnd.Both, BookingReasons.TransitBack(pickedUp, back, days.TransitBackDays, calendars)),
            new(BookingStage.Turnaround, back, bookable, days.TurnaroundDays, BookingEnd.Clinic, BookingReasons.Turnaround(back, bookable, days.TurnaroundDays, calendars)),
        ];
        return new KitBooking(ship, arrives, ready, session, lastUse, pickedUp, back, bookable, steps);
    }

    private static void Check(BookingDays days, CalendarPair calendars)
    {
        ArgumentNullException.ThrowIfNull(days);
        ArgumentNullException.ThrowIfNull(calendars);
        days.ThrowIfFaulty();
    }
}
