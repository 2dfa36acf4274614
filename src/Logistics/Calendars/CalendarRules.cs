namespace TeleHearing.Logistics.Calendars;

/// <summary>What a person says of one end's working days. Plain data; <see cref="WorkCalendar.From"/> makes a calendar of it.</summary>
/// <param name="Name">Name of the calendar, as in "clinic" or a region's name.</param>
/// <param name="WeekendDays">Weekdays that never work.</param>
/// <param name="Holidays">Single days that do not work.</param>
public sealed record CalendarRules(string Name, IReadOnlyList<DayOfWeek> WeekendDays, IReadOnlyList<Holiday> Holidays)
{
    /// <summary>Most holidays a calendar may have (design): a century of them; more is a mistake in a file.</summary>
    public const int MostHolidays = 5000;

    /// <summary>Longest name, characters (design).</summary>
    public const int LongestName = 80;

    /// <summary>Saturday and Sunday off and no holidays.</summary>
    public static CalendarRules MondayToFriday(string name) => new(name, [DayOfWeek.Saturday, DayOfWeek.Sunday], []);

    /// <summary>All that keeps these rules from being used, at once; empty when nothing does.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();
        if (string.IsNullOrWhiteSpace(Name) || Name.Length > LongestName)
        {
            faults.Add(new(nameof(Name), $"Give the calendar a name of 1 to {LongestName} characters."));
        }

        if (WeekendDays is null || WeekendDays.Any(day => !Enum.IsDefined(day)))
        {
            faults.Add(new(nameof(WeekendDays), "A day of the weekend is not a weekday. Give Sunday to Saturday, or an empty list."));
        }
        else if (WeekendDays.Distinct().Count() == 7)
        {
            faults.Add(new(nameof(WeekendDays), "All seven days are free: nothing would ever be sent. Leave at least one weekday that works."));
        }

        CheckHolidays(faults);
        return faults;
    }

    private void CheckHolidays(List<LogisticsFault> faults)
    {
        if (Holidays is null || Holidays.Any(holiday => holiday is null))
        {
            faults.Add(new(nameof(Holidays), "Give a list of holidays; it may be empty."));
            return;
        }

        if (Holidays.Count > MostHolidays)
        {
            faults.Add(new(nameof(Holidays), $"There are {Holidays.Count} holidays; {MostHolidays} is the most."));
            return;
        }

        foreach (var holiday in Holidays.Where(holiday => holiday.Day.Year is < Require.FirstYear or > Require.LastYear))
        {
            faults.Add(new(nameof(Holidays), $"{holiday.Day:yyyy-MM-dd} cannot be right: give a day of the years {Require.FirstYear} to {Require.LastYear}."));
        }

        foreach (var twice in Holidays.GroupBy(holiday => holiday.Day).Where(group => group.Count() > 1))
        {
            faults.Add(new(nameof(Holidays), $"{twice.Key:yyyy-MM-dd} is there twice. Keep one line of it."));
        }
    }
}
