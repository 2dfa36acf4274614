using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests;

/// <summary>Random calendars, days and lengths for properties: weekends of none to four days, up to sixty holidays in two years, in runs and alone.</summary>
internal static class RandomDays
{
    public static Gen<DateOnly> Days { get; } = Gen.Choose(0, 700).Select(On("2026-01-01").AddDays);

    public static Gen<WorkCalendar> Calendars { get; } =
        from seed in Gen.Choose(0, 1_000_000)
        select Calendar(new Random(seed));

    public static Gen<CalendarPair> Pairs { get; } =
        from clinic in Calendars
        from site in Calendars
        where WorkCalendar.Both(clinic, site) is not null
        select CalendarPair.Of(clinic, site);

    public static Gen<BookingDays> Lengths { get; } =
        from settle in Gen.Choose(0, 4)
        from transitOut in Gen.Choose(0, 6)
        from pickUp in Gen.Choose(0, 3)
        from transitBack in Gen.Choose(0, 6)
        from turnaround in Gen.Choose(0, 5)
        select new BookingDays(settle, transitOut, pickUp, transitBack, turnaround);

    private static WorkCalendar Calendar(Random random)
    {
        var weekend = Enumerable.Range(0, random.Next(5)).Select(_ => (DayOfWeek)random.Next(7)).ToList();
        var holidays = new HashSet<int>();
        for (var runs = random.Next(20); runs > 0; runs--)
        {
            var first = random.Next(-60, 800);
            holidays.UnionWith(Enumerable.Range(first, random.Next(1, 4)));
        }

        return WorkCalendar.From(new CalendarRules("random", weekend, [.. holidays.Select(day => new Holiday(On("2026-01-01").AddDays(day), $"day {day}"))]));
    }
}
