using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Logistics.Tests.Calendars;

public sealed class WorkCalendarTests
{
    private static readonly WorkCalendar _plain = WorkCalendar.From(CalendarRules.MondayToFriday("clinic"));

    [Theory]
    [InlineData("2026-03-13", 1, "2026-03-16")] // Friday to Monday
    [InlineData("2026-03-14", 1, "2026-03-16")] // from a Saturday
    [InlineData("2026-03-16", -1, "2026-03-13")]
    [InlineData("2026-03-15", -1, "2026-03-13")]
    [InlineData("2026-03-15", 0, "2026-03-15")]
    [InlineData("2026-03-11", 3, "2026-03-16")]
    public void WorkingDaysAreCountedFromTheNextOneOn(string from, int count, string expected) =>
        Assert.Equal(DateOnly.Parse(expected), _plain.AddWorkingDays(DateOnly.Parse(from), count));
}
