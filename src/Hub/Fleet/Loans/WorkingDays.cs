using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>
/// Counts working days where something is shown whatever the calendar says. A calendar without a working day for a year is refused, but two calendars together may leave none, and one may have been stored by an earlier version:
/// the days then count as they are, so that the pages stay open, among them the one on which the calendar is put right. Pure.
/// </summary>
internal static class WorkingDays
{
    /// <summary>The last working day before a day.</summary>
    public static DateOnly Before(WorkCalendar calendar, DateOnly day) => Counted(day, calendar.PreviousWorkingDay);

    /// <summary>The day itself when it is a working day, else the first after it.</summary>
    public static DateOnly From(WorkCalendar calendar, DateOnly day) => Counted(day, calendar.OnOrAfter);

    /// <summary>A number of working days later.</summary>
    public static DateOnly Later(WorkCalendar calendar, DateOnly day, int count) => Counted(day, from => calendar.AddWorkingDays(from, count));

    private static DateOnly Counted(DateOnly day, Func<DateOnly, DateOnly> count)
    {
        try
        {
            return count(day);
        }
        catch (Exception fault) when (fault is InvalidOperationException or ArgumentOutOfRangeException)
        {
            return day;
        }
    }
}
