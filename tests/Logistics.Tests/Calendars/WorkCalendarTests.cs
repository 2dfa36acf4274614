using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Calendars;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Calendars;

public sealed class WorkCalendarTests
{
    [Theory]
    [InlineData("2026-03-13", 1, "2026-03-16")] // Friday to Monday
    [InlineData("2026-03-14", 1, "2026-03-16")] // from a Saturday
    [InlineData("2026-03-16", -1, "2026-03-13")]
    [InlineData("2026-03-15", -1, "2026-03-13")]
    [InlineData("2026-03-15", 0, "2026-03-15")]
    [InlineData("2026-03-11", 3, "2026-03-16")]
    [InlineData("2026-03-16", -3, "2026-03-11")]
    public void WorkingDaysAreCountedFromTheNextOneOn(string from, int count, string expected) =>
        Assert.Equal(On(expected), Plain.AddWorkingDays(On(from), count));

    [Fact]
    public void AHolidayIsPassedOverBothWays()
    {
        var calendar = With("clinic", ("2026-04-03", "Good Friday"), ("2026-04-06", "Easter Monday"));

        Assert.Equal(On("2026-04-07"), calendar.AddWorkingDays(On("2026-04-02"), 1));
        Assert.Equal(On("2026-04-02"), calendar.AddWorkingDays(On("2026-04-07"), -1));
        Assert.Equal(On("2026-04-07"), calendar.OnOrAfter(On("2026-04-03")));
        Assert.Equal(On("2026-04-02"), calendar.OnOrBefore(On("2026-04-06")));
        Assert.Equal(On("2026-04-02"), calendar.OnOrBefore(On("2026-04-02")));
        Assert.Equal("Good Friday", calendar.HolidayName(On("2026-04-03")));
        Assert.Null(calendar.HolidayName(On("2026-04-04")));
        Assert.Equal([On("2026-04-03"), On("2026-04-04"), On("2026-04-05"), On("2026-04-06")], calendar.FreeDaysBetween(On("2026-04-02"), On("2026-04-07")));
    }

    [Fact]
    public void AWeekendMayBeAnyDays()
    {
        var calendar = WorkCalendar.From(new CalendarRules("site", [DayOfWeek.Friday, DayOfWeek.Saturday], []));

        Assert.Equal(On("2026-03-15"), calendar.NextWorkingDay(On("2026-03-12"))); // Thursday to Sunday
        Assert.Equal(On("2026-03-12"), calendar.PreviousWorkingDay(On("2026-03-15")));
    }

    [Fact]
    public void BothEndsWorkWhenNeitherIsFree()
    {
        var clinic = With("clinic", ("2026-05-18", "clinic's day"), ("2026-12-25", "winter day"));
        var site = WorkCalendar.From(new CalendarRules("site", [DayOfWeek.Friday, DayOfWeek.Saturday], [new(On("2026-12-25"), "winter day"), new(On("2026-05-19"), "site's day")]));

        var both = WorkCalendar.Both(clinic, site)!;

        Assert.Equal("clinic and site", both.Name);
        for (var day = On("2026-01-01"); day < On("2027-01-01"); day = day.AddDays(1))
        {
            Assert.Equal(clinic.IsWorkingDay(day) && site.IsWorkingDay(day), both.IsWorkingDay(day));
        }

        Assert.Equal("winter day", both.HolidayName(On("2026-12-25")));
    }

    [Fact]
    public void EndsWithoutACommonWeekdayArePairedWithASentence()
    {
        var early = WorkCalendar.From(new CalendarRules("early", [DayOfWeek.Thursday, DayOfWeek.Friday, DayOfWeek.Saturday, DayOfWeek.Sunday], []));
        var late = WorkCalendar.From(new CalendarRules("late", [DayOfWeek.Monday, DayOfWeek.Tuesday, DayOfWeek.Wednesday], []));

        Assert.Null(WorkCalendar.Both(early, late));
        Assert.Contains("no working weekday in common", Assert.Throws<ArgumentException>(() => CalendarPair.Of(early, late)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void CountingThereAndBackEndsWhereItBegan() =>
        Prop.ForAll(RandomDays.Calendars.ToArbitrary(), RandomDays.Days.ToArbitrary(), Gen.Choose(-200, 200).ToArbitrary(), (calendar, day, count) =>
        {
            var start = calendar.OnOrAfter(day);
            var end = calendar.AddWorkingDays(start, count);
            return calendar.IsWorkingDay(end) && calendar.AddWorkingDays(end, -count) == start && calendar.WorkingDaysBetween(start, end) == count;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void AddingDaysAgreesWithLookingAtEachDay() =>
        Prop.ForAll(RandomDays.Calendars.ToArbitrary(), RandomDays.Days.ToArbitrary(), Gen.Choose(1, 100).ToArbitrary(), (calendar, day, count) =>
            Enumerable.Range(1, 4000).Select(day.AddDays).Where(calendar.IsWorkingDay).ElementAt(count - 1) == calendar.AddWorkingDays(day, count))
            .QuickCheckThrowOnFailure();

    [Fact]
    public void RulesThatCannotBeUsedSayWhatIsWrongAllAtOnce()
    {
        var rules = new CalendarRules(" ", Enum.GetValues<DayOfWeek>(), [new(On("2026-01-01"), "a"), new(On("2026-01-01"), "b"), new(default, "c")]);

        var faults = rules.Faults();

        Assert.Equal(["Name", "WeekendDays", "Holidays", "Holidays"], faults.Select(fault => fault.Field));
        Assert.Contains(faults, fault => fault.Sentence.Contains("1 January 2026 is there twice", StringComparison.Ordinal));
        Assert.Throws<ArgumentException>(() => WorkCalendar.From(rules));
        Assert.Equal(["Name", "WeekendDays", "Holidays"], new CalendarRules(null!, null!, null!).Faults().Select(fault => fault.Field));
        Assert.NotEmpty(new CalendarRules("a", [(DayOfWeek)9], []).Faults());
        Assert.NotEmpty(new CalendarRules("a", [], [.. Enumerable.Range(0, 5001).Select(i => new Holiday(On("2026-01-01").AddDays(i), string.Empty))]).Faults());
        Assert.Empty(CalendarRules.MondayToFriday("clinic").Faults());
    }

    [Fact]
    public void CountsAndDaysThatCannotBeRightAreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Plain.AddWorkingDays(On("2026-01-01"), WorkCalendar.MostDays + 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Plain.AddWorkingDays(On("2026-01-01"), int.MinValue));
        Assert.Throws<ArgumentOutOfRangeException>(() => Plain.AddWorkingDays(default, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Plain.AddWorkingDays(DateOnly.MaxValue, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => Plain.WorkingDaysBetween(default, On("2026-01-01")));
        Assert.Throws<ArgumentOutOfRangeException>(() => Plain.OnOrAfter(default));
    }

    [Theory]
    // Weekends count: 369 days in a row without a working one are the most that can be counted across, from any of them.
    [InlineData(369, true)]
    [InlineData(370, false)]
    public void TheLongestGapThatCanBeCountedAcrossIsTheLongestThatIsTaken(int days, bool taken)
    {
        // From Monday 2026-01-05, Saturdays and Sundays given by the weekend alone. 369 and 370 days later it is Thursday and Friday; the Saturday and Sunday before are part of the gap.
        var first = On("2026-01-03");
        var rules = new CalendarRules("shut", [DayOfWeek.Saturday, DayOfWeek.Sunday], [.. Enumerable.Range(0, days).Select(first.AddDays).Where(day => day.DayOfWeek is not (DayOfWeek.Saturday or DayOfWeek.Sunday)).Select(day => new Holiday(day, "shut"))]);

        Assert.Equal(taken, rules.Faults().Count == 0);
        var calendar = WorkCalendar.From(rules);
        Assert.Equal(taken, Record.Exception(() => calendar.NextWorkingDay(first.AddDays(-1))) is null);
    }

    [Fact]
    public void AYearOfHolidaysIsAMistakeAndIsSaidToBeOne()
    {
        var rules = new CalendarRules("shut", [], [.. Enumerable.Range(0, 500).Select(i => new Holiday(On("2026-01-01").AddDays(i), "shut"))]);
        Assert.Contains("From 1 January 2026 to 15 May 2027 there is no working day", Assert.Single(rules.Faults()).Sentence, StringComparison.Ordinal);
        var shut = WorkCalendar.From(rules);

        // Rules that were stored before this was refused still make a calendar, which says so when it is counted on.
        Assert.Contains("no working day", Assert.Throws<InvalidOperationException>(() => shut.NextWorkingDay(On("2026-01-01"))).Message, StringComparison.Ordinal);
    }
}
