using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>Counts the dates of a loan by the clinic's calendars and terms, and says in words why there are none. Pure.</summary>
internal static class LoanBooking
{
    /// <summary>What the request comes to.</summary>
    /// <param name="Request">The request with the days of its sessions filled in.</param>
    /// <param name="Booking">Its dates; absent when there are none.</param>
    /// <param name="Refusal">Why it cannot be done; absent when it can.</param>
    internal sealed record Outcome(RequestLoan Request, KitBooking? Booking, Refusal? Refusal);

    /// <summary>Checks a request against sessions, calendars and today, and counts its dates.</summary>
    public static Outcome Consider(FleetState state, RequestLoan request, FleetContext context)
    {
        var tidy = request with { Place = request.Place.Trim(), Region = request.Region.Trim(), Zone = request.Zone.Trim() };
        if (Zone(tidy.Zone) is not { } zone)
        {
            return Refused(RefusalCodes.LoanDates, $"There is no time zone \"{tidy.Zone}\".", "Give one as the IANA list writes it, for instance America/Halifax or Europe/Oslo.");
        }

        var sessions = new List<PlannedSession>();
        foreach (var id in tidy.Sessions.Distinct())
        {
            if (context.Sessions.FirstOrDefault(known => known.SessionId == id) is not { } session)
            {
                return Refused(RefusalCodes.SessionUnknown, "A session of this loan is over, under way, or not planned any more.", "Look at the planned sessions as they are now, and choose again.");
            }

            if (state.Loans.Values.FirstOrDefault(loan => loan.Request.LoanId != tidy.LoanId && loan.Request.Sessions.Contains(id) && LoanStandings.Serves(loan, context)) is { } other)
            {
                return Refused(RefusalCodes.LoanStanding, $"A kit was asked for this session already, by {other.AskedBy} on {Day(DateOnly.FromDateTime(other.AskedAt.UtcDateTime))}.", "Use that loan, or withdraw it first.");
            }

            sessions.Add(session);
        }

        if (sessions.Count > 0)
        {
            // Local dates at the site, whatever the clocks do between now and then.
            var clinic = ClinicDay.ZoneOf(state);
            tidy = tidy with { SessionDays = [.. sessions.Select(session => SessionMoment.At(session.PlannedStart, zone, clinic).SiteDay).Distinct().Order()] };
        }

        tidy = tidy with { SessionDays = [.. tidy.SessionDays.Distinct().Order()] };
        if (tidy.SessionDays.Count == 0)
        {
            return Refused(RefusalCodes.LoanDates, "No session and no day was chosen.", "Choose planned sessions, or give the day of the session.");
        }

        // The site's own day: around midnight it may be a day behind or before the clinic's.
        var siteToday = DateOnly.FromDateTime(TimeZoneInfo.ConvertTime(context.Now, zone).DateTime);
        if (tidy.SessionDays[0] < siteToday)
        {
            return Refused(RefusalCodes.LoanDates, $"{Day(tidy.SessionDays[0])} is in the past.", $"{Nearest(state, tidy, context.Today)}Choose a session that is still to come.");
        }

        var (booking, refusal) = Dates(state, tidy);
        if (booking is null)
        {
            return new Outcome(tidy, null, refusal);
        }

        return booking.ShipBy >= context.Today ? new Outcome(tidy, booking, null) : new Outcome(tidy, booking, TooLate(state, tidy, booking, context.Today));

        Outcome Refused(string code, string sentence, string remedy) => new(tidy, null, new Refusal(code, sentence, remedy));
    }

    /// <summary>The dates of a request whose days are known, whether or not they are past.</summary>
    public static (KitBooking? Booking, Refusal? Refusal) Dates(FleetState state, RequestLoan request)
    {
        var (pair, refusal) = Calendars(state, request.Region);
        var days = Days(state.Terms, request.Spans);
        if (pair is null || request.SessionDays.Count == 0)
        {
            return (null, refusal);
        }

        if (days.Faults() is { Count: > 0 } faults)
        {
            return (null, new Refusal(RefusalCodes.LoanDates, string.Join(" ", faults.Select(fault => fault.Sentence)), "Look at the days on the way."));
        }

        if (request.SessionDays[^1].DayNumber - request.SessionDays[0].DayNumber > BookingPlanner.LongestUseDays)
        {
            return (null, new Refusal(RefusalCodes.LoanDates, $"The first and the last session are more than {BookingPlanner.LongestUseDays} days apart.", "Ask for two loans."));
        }

        try
        {
            return (BookingPlanner.Backwards(request.SessionDays[0], request.SessionDays[^1], days, pair), null);
        }
        catch (Exception fault) when (fault is InvalidOperationException or ArgumentOutOfRangeException)
        {
            // A calendar without a working day for a year, or a date far outside: the library says which, in words.
            return (null, new Refusal(RefusalCodes.LoanDates, fault.Message, "Look at the calendars of both ends."));
        }
    }

    /// <summary>A booking with the days a loan was extended to: what comes after its last session moves, so that no page or paper names an older day.</summary>
    /// <param name="state">The fleet.</param>
    /// <param name="request">What was asked for.</param>
    /// <param name="booking">Its dates as counted from its sessions.</param>
    /// <param name="promised">Days it is promised for.</param>
    public static KitBooking Promised(FleetState state, RequestLoan request, KitBooking booking, (DateOnly DueBack, DateOnly BookableFrom) promised) =>
        promised.DueBack > booking.DueBack && Calendars(state, request.Region).Pair is { } pair
            ? BookingPlanner.BackOn(booking, promised.DueBack, promised.BookableFrom, Days(state.Terms, request.Spans), pair)
            : booking;

    /// <summary>Working days of both ends.</summary>
    public static (CalendarPair? Pair, Refusal? Refusal) Calendars(FleetState state, string region)
    {
        if (!state.Calendars.TryGetValue(region, out var site))
        {
            return (null, new Refusal(
                RefusalCodes.RegionUnknown,
                $"There is no calendar \"{region}\". There are: {string.Join(", ", state.Calendars.Keys)}.",
                "Choose one of them, or enter the calendar in the fleet's settings."));
        }

        var (clinic, other) = (WorkCalendar.From(Rules(state.Calendars[FleetCalendar.Clinic])), WorkCalendar.From(Rules(site)));
        return WorkCalendar.Both(clinic, other) is null
            ? (null, new Refusal(RefusalCodes.LoanDates, $"\"{FleetCalendar.Clinic}\" and \"{region}\" have no working weekday in common: nothing sent would ever arrive.", "Look at the free weekdays of both calendars."))
            : (CalendarPair.Of(clinic, other), null);
    }

    /// <summary>The clinic's own working days.</summary>
    public static WorkCalendar Clinic(FleetState state) => WorkCalendar.From(Rules(state.Calendars[FleetCalendar.Clinic]));

    /// <summary>A calendar as the arithmetic wants it.</summary>
    public static CalendarRules Rules(FleetCalendar calendar) => new(calendar.Region, calendar.WeekendDays, [.. calendar.Holidays.Select(holiday => new Holiday(holiday.Day, holiday.Name))]);

    /// <summary>Days on the way. Hours of quarantine are whole days before cleaning can begin (design, the cautious reading).</summary>
    public static BookingDays Days(FleetTerms terms, LoanSpans? spans)
    {
        var own = spans ?? terms.Spans;
        return new BookingDays(own.SettleDays, own.TransitOutDays, own.PickupDays, own.TransitBackDays, own.TurnaroundDays + ((terms.QuarantineHours + 23) / 24));
    }

    /// <summary>A time zone of the list; absent when there is none of that name.</summary>
    public static TimeZoneInfo? Zone(string id) => TimeZoneInfo.TryFindSystemTimeZoneById(id, out var zone) ? zone : null;

    /// <summary>A day as sentences write it.</summary>
    public static string Day(DateOnly day) => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture);

    private static Refusal TooLate(FleetState state, RequestLoan request, KitBooking booking, DateOnly today) => new(
        RefusalCodes.LoanDates,
        $"The kit would have to leave on {Day(booking.ShipBy)}, which is in the past.",
        $"{Nearest(state, request, today)}Move the session, take the kit there by hand (0 days on the way), or use another one.");

    /// <summary>The nearest day that works, as a sentence and a space; nothing when there is none.</summary>
    private static string Nearest(FleetState state, RequestLoan request, DateOnly today)
    {
        if (Calendars(state, request.Region).Pair is not { } pair || Days(state.Terms, request.Spans) is not { } days || days.Faults().Count > 0)
        {
            return string.Empty;
        }

        try
        {
            var earliest = BookingPlanner.Earliest(today, days, pair);
            return $"A kit that leaves on {Day(earliest.ShipBy)} serves a session on {Day(earliest.Session)} or later. ";
        }
        catch (InvalidOperationException)
        {
            // The calendar has no working day for a year from today, so there is no earliest day to name.
            return string.Empty;
        }
    }
}
