using System.Globalization;

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

    /// <summary>All that is wrong with these rules, at once; empty when nothing is.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = Unusable();
        if (faults.Count == 0 && LongestGap() is { Days: >= WorkCalendar.LongestGapDays } gap)
        {
            return [new(nameof(Holidays), string.Create(CultureInfo.InvariantCulture, $"From {gap.From:d MMMM yyyy} to {gap.From.AddDays(gap.Days - 1):d MMMM yyyy} there is no working day at all. Leave at least one within {WorkCalendar.LongestGapDays} days: nothing could be sent in between."))];
        }

        return faults;
    }

    /// <summary>What keeps a calendar from being made of them. A long gap does not: rules with one may have been stored, and counting across it says so.</summary>
    internal IReadOnlyList<LogisticsFault> Unusable()
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

    /// <summary>The longest run of days without a working one that a holiday lies in.</summary>
    private (DateOnly From, int Days) LongestGap()
    {
        var (weekend, holidays) = (WeekendDays.ToHashSet(), Holidays.Select(holiday => holiday.Day).ToHashSet());
        bool Free(DateOnly day) => weekend.Contains(day.DayOfWeek) || holidays.Contains(day);
        var (longest, until) = ((From: default(DateOnly), Days: 0), DateOnly.MinValue);
        foreach (var holiday in holidays.Order().Where(holiday => holiday > until))
        {
            var from = holiday;
            while (Free(from.AddDays(-1)))
            {
                from = from.AddDays(-1);
            }

            for (until = holiday; Free(until.AddDays(1));)
            {
                until = until.AddDays(1);
            }

            var days = until.DayNumber - from.DayNumber + 1;
            longest = days > longest.Days ? (from, days) : longest;
        }

        return longest;
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
            faults.Add(new(nameof(Holidays), string.Create(CultureInfo.InvariantCulture, $"{holiday.Day:d MMMM yyyy} cannot be right: give a day of the years {Require.FirstYear} to {Require.LastYear}.")));
        }

        foreach (var twice in Holidays.GroupBy(holiday => holiday.Day).Where(group => group.Count() > 1))
        {
            faults.Add(new(nameof(Holidays), string.Create(CultureInfo.InvariantCulture, $"{twice.Key:d MMMM yyyy} is there twice. Keep one line of it.")));
        }
    }
}
