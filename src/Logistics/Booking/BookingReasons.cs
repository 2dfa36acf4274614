using System.Globalization;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Booking;

/// <summary>Says in sentences why a part of a booking takes the days it takes.</summary>
internal static class BookingReasons
{
    /// <summary>Most free days named one by one; a longer list is cut with their number.</summary>
    private const int MostNamed = 6;

    /// <summary>A day as a person reads it, with its weekday. English and fixed, so that a reason reads the same wherever it is made.</summary>
    public static string Day(DateOnly day) => day.ToString("ddd d MMM yyyy", CultureInfo.InvariantCulture);

    public static string TransitOut(DateOnly ship, DateOnly arrives, int days, CalendarPair calendars) => days == 0
        ? $"Handed over by {Day(ship)} and there on {Day(arrives)}: no day in transit is counted."
        : $"Sent by {Day(ship)} to arrive on {Day(arrives)}: {Days(days)} in transit, counted on days both ends work.{Skipped(ship, arrives, calendars.Both)}";

    public static string Settle(DateOnly arrives, DateOnly ready, DateOnly session, int days, CalendarPair calendars) => days == 0
        ? $"No whole day is kept for settling: it arrives on {Day(arrives)}, a working day before the session."
        : $"Settled by the end of {Day(ready)}: {Days(days)} of the site for unpacking, charging and a trial, before the session on {Day(session)}.{Skipped(arrives, session, calendars.Site)}";

    public static string Session(DateOnly first, DateOnly last) => first == last
        ? $"The session is on {Day(first)}, by the date at the site."
        : $"Sessions are from {Day(first)} to {Day(last)}, by the dates at the site.";

    public static string PickUp(DateOnly lastUse, DateOnly pickedUp, int days, CalendarPair calendars) => (days, pickedUp == lastUse) switch
    {
        (0, true) => $"Collected on {Day(pickedUp)}, the day of the last session.",
        (0, false) => $"Collected on {Day(pickedUp)}: the day of the last session is no working day of the site.{Skipped(lastUse, pickedUp, calendars.Site)}",
        _ => $"Collected on {Day(pickedUp)}: {Days(days)} of the site after the last session.{Skipped(lastUse, pickedUp, calendars.Site)}",
    };

    public static string KeptLonger(DateOnly pickedUp) => $"Collected on {Day(pickedUp)}: the loan was extended.";

    public static string TransitBack(DateOnly pickedUp, DateOnly back, int days, CalendarPair calendars) => days == 0
        ? $"Back on {Day(back)}: no day in transit is counted."
        : $"Back on {Day(back)}: {Days(days)} in transit, counted on days both ends work.{Skipped(pickedUp, back, calendars.Both)}";

    public static string Turnaround(DateOnly back, DateOnly bookable, int days, CalendarPair calendars) => days == 0
        ? $"May be sent again from {Day(bookable)}: no whole day is kept for cleaning and checks.{Skipped(back, bookable, calendars.Clinic)}"
        : $"May be sent again from {Day(bookable)}: {Days(days)} of the clinic for cleaning, inspection, restock and function check.{Skipped(back, bookable, calendars.Clinic)}";

    private static string Days(int days) => days == 1 ? "1 working day" : string.Create(CultureInfo.InvariantCulture, $"{days} working days");

    private static string Skipped(DateOnly from, DateOnly to, WorkCalendar calendar)
    {
        var free = calendar.FreeDaysBetween(from, to);
        if (free.Count == 0)
        {
            return string.Empty;
        }

        var named = free.Take(MostNamed).Select(day => calendar.HolidayName(day) is { Length: > 0 } name ? $"{Day(day)} ({name})" : Day(day));
        var more = free.Count > MostNamed ? string.Create(CultureInfo.InvariantCulture, $" and {free.Count - MostNamed} more") : string.Empty;
        return $" Not counted: {string.Join(", ", named)}{more}.";
    }
}
