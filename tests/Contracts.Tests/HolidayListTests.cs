namespace TeleHearing.Contracts.Tests;

/// <summary>Holidays as a list that people write.</summary>
public sealed class HolidayListTests
{
    [Fact]
    public void DatesAndNamesAreReadInOrderAndWrittenBackTheSame()
    {
        var (holidays, faults) = HolidayList.Parse("# our days\n2026-12-24  Lantern day\r\n\n2026-03-19,Ferry day\n");

        Assert.Empty(faults);
        Assert.Equal([new CalendarHoliday(new DateOnly(2026, 3, 19), "Ferry day"), new CalendarHoliday(new DateOnly(2026, 12, 24), "Lantern day")], holidays);
        Assert.Equal(holidays, HolidayList.Parse(HolidayList.Write(holidays)).Holidays);
    }

    [Fact]
    public void EveryFaultIsListedWithItsLine()
    {
        var (_, faults) = HolidayList.Parse("2026-02-30 none\n2026-03-19\n2026-03-20 a\n2026-03-20 b\n" + "2026-04-01 " + new string('x', 81));

        Assert.Equal([1, 2, 4, 5], faults.Select(fault => fault.Line));
        Assert.Contains("on line 3", faults[2].Sentence, StringComparison.Ordinal);
    }
}
