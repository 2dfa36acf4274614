using System.Globalization;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Tests;

/// <summary>Days and calendars of the tests, all invented.</summary>
internal static class Days
{
    public static WorkCalendar Plain { get; } = WorkCalendar.From(CalendarRules.MondayToFriday("clinic"));

    public static DateOnly On(string day) => DateOnly.ParseExact(day, "yyyy-MM-dd", CultureInfo.InvariantCulture);

    public static WorkCalendar With(string name, params (string Day, string Name)[] holidays) =>
        WorkCalendar.From(CalendarRules.MondayToFriday(name) with { Holidays = [.. holidays.Select(holiday => new Holiday(On(holiday.Day), holiday.Name))] });
}
