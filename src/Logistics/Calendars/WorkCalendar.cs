namespace TeleHearing.Logistics.Calendars;

/// <summary>The working days of one end: a clinic, a site, or both together. Counts days, never hours, in that end's local dates.</summary>
public sealed class WorkCalendar
{
    /// <summary>Most working days counted at once (design): about forty years.</summary>
    public const int MostDays = 10_000;

    /// <summary>Longest gap without a working day, days (design): a longer one is a mistake among the holidays, and would send a booking years away.</summary>
    public const int LongestGapDays = 370;

    private readonly bool[] _freeWeekdays;
    private readonly Dictionary<DateOnly, string> _holidays;

    private WorkCalendar(string name, bool[] freeWeekdays, Dictionary<DateOnly, string> holidays) =>
        (Name, _freeWeekdays, _holidays) = (name, freeWeekdays, holidays);

    /// <summary>Name of the calendar.</summary>
    public string Name { get; }

    /// <summary>Makes a calendar of rules.</summary>
    /// <exception cref="ArgumentException">The rules have faults; the message holds them all.</exception>
    public static WorkCalendar From(CalendarRules rules)
    {
        ArgumentNullException.ThrowIfNull(rules);
        var faults = rules.Unusable();
        if (faults.Count > 0)
        {
            throw new ArgumentException(string.Join(" ", faults), nameof(rules));
        }

        var free = new bool[7];
        foreach (var day in rules.WeekendDays)
        {
            free[(int)day] = true;
        }

        return new WorkCalendar(rules.Name, free, rules.Holidays.ToDictionary(holiday => holiday.Day, holiday => holiday.Name ?? string.Empty));
    }

    /// <summary>The days on which two ends both work; absent when their weekends leave none.</summary>
    public static WorkCalendar? Both(WorkCalendar first, WorkCalendar second)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        var free = new bool[7];
        for (var day = 0; day < 7; day++)
        {
            free[day] = first._freeWeekdays[day] || second._freeWeekdays[day];
        }

        if (Array.TrueForAll(free, one => one))
        {
            return null;
        }

        var holidays = new Dictionary<DateOnly, string>(first._holidays);
        foreach (var (day, name) in second._holidays)
        {
            holidays[day] = holidays.TryGetValue(day, out var other) && other != name ? $"{other}, {name}" : name;
        }

        return new WorkCalendar(first.Name == second.Name ? first.Name : $"{first.Name} and {second.Name}", free, holidays);
    }

    /// <summary>Whether a day works.</summary>
    public bool IsWorkingDay(DateOnly day) => !_freeWeekdays[(int)day.DayOfWeek] && !_holidays.ContainsKey(day);

    /// <summary>Name of the holiday on a day; absent when there is none.</summary>
    public string? HolidayName(DateOnly day) => _holidays.GetValueOrDefault(day);

    /// <summary>The first working day after a day.</summary>
    public DateOnly NextWorkingDay(DateOnly day) => Step(day, 1);

    /// <summary>The last working day before a day.</summary>
    public DateOnly PreviousWorkingDay(DateOnly day) => Step(day, -1);

    /// <summary>The day itself when it works, else the first working day after it.</summary>
    public DateOnly OnOrAfter(DateOnly day) => IsWorkingDay(day) ? Checked(day) : NextWorkingDay(day);

    /// <summary>The day itself when it works, else the last working day before it.</summary>
    public DateOnly OnOrBefore(DateOnly day) => IsWorkingDay(day) ? Checked(day) : PreviousWorkingDay(day);

    /// <summary>Counts working days from a day, which itself is never counted: one day from a Friday is Monday, and so is one from a Saturday.</summary>
    /// <param name="day">Day to count from.</param>
    /// <param name="count">Working days, -<see cref="MostDays"/> to <see cref="MostDays"/>; below zero counts back; zero leaves the day as it is, working or not.</param>
    /// <exception cref="ArgumentOutOfRangeException">The day or the count cannot be right.</exception>
    /// <exception cref="InvalidOperationException">There is no working day within <see cref="LongestGapDays"/> days.</exception>
    public DateOnly AddWorkingDays(DateOnly day, int count)
    {
        Require.Date(day);
        Require.Count(count, -MostDays, MostDays);
        var direction = Math.Sign(count);
        for (var left = Math.Abs(count); left > 0; left--)
        {
            day = Step(day, direction);
        }

        return day;
    }

    /// <summary>Working days after one day and up to another, that one included; below zero when it lies before. The way back of <see cref="AddWorkingDays"/> from a working day.</summary>
    /// <exception cref="ArgumentOutOfRangeException">A day cannot be right.</exception>
    public int WorkingDaysBetween(DateOnly from, DateOnly to)
    {
        Require.Date(from);
        Require.Date(to);
        if (to < from)
        {
            var back = 0;
            for (var day = to; day < from; day = day.AddDays(1))
            {
                back += IsWorkingDay(day) ? 1 : 0;
            }

            return -back;
        }

        var count = 0;
        for (var day = from; day < to;)
        {
            day = day.AddDays(1);
            count += IsWorkingDay(day) ? 1 : 0;
        }

        return count;
    }

    /// <summary>The days between two days, both left out, that do not work: what a booking names when it explains a long wait.</summary>
    public IReadOnlyList<DateOnly> FreeDaysBetween(DateOnly from, DateOnly to)
    {
        Require.Date(from);
        Require.Date(to);
        var free = new List<DateOnly>();
        for (var day = from.AddDays(1); day < to; day = day.AddDays(1))
        {
            if (!IsWorkingDay(day))
            {
                free.Add(day);
            }
        }

        return free;
    }

    private DateOnly Step(DateOnly day, int direction)
    {
        Require.Date(day);
        for (var gap = 0; gap < LongestGapDays; gap++)
        {
            day = day.AddDays(direction);
            if (IsWorkingDay(day))
            {
                return day;
            }
        }

        throw new InvalidOperationException($"The calendar \"{Name}\" has no working day within {LongestGapDays} days. Look at its holidays.");
    }

    private static DateOnly Checked(DateOnly day)
    {
        Require.Date(day);
        return day;
    }
}
