using System.Globalization;

namespace TeleHearing.Contracts;

/// <summary>Holidays as a plain list: one a line, the date and then its name, e.g. "2026-12-24 Lantern day". Empty lines and lines that begin with # count for nothing.</summary>
public static class HolidayList
{
    /// <summary>Longest name, characters (design).</summary>
    public const int LongestName = 80;

    /// <summary>A line that cannot be read.</summary>
    /// <param name="Line">Its number, from 1.</param>
    /// <param name="Sentence">What is wrong with it.</param>
    public sealed record Fault(int Line, string Sentence);

    /// <summary>Reads a list. All faults are listed; with any of them the holidays are not to be used.</summary>
    public static (IReadOnlyList<CalendarHoliday> Holidays, IReadOnlyList<Fault> Faults) Parse(string? text)
    {
        var (holidays, faults, seen) = (new List<CalendarHoliday>(), new List<Fault>(), new Dictionary<DateOnly, int>());
        var lines = (text ?? string.Empty).Split('\n');
        for (var index = 0; index < lines.Length; index++)
        {
            var line = lines[index].Trim();
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }

            var number = index + 1;
            var end = line.IndexOfAny([' ', '\t', ',', ';']);
            var (date, name) = end < 0 ? (line, string.Empty) : (line[..end], line[end..].Trim(' ', '\t', ',', ';'));
            if (!DateOnly.TryParseExact(date, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out var day))
            {
                faults.Add(new(number, $"\"{date}\" is no date. Write year, month and day, e.g. 2026-12-24."));
            }
            else if (name.Length is 0 or > LongestName)
            {
                faults.Add(new(number, $"Give {date} a name of 1 to {LongestName} characters after the date."));
            }
            else if (!seen.TryAdd(day, number))
            {
                faults.Add(new(number, $"{date} is there already, on line {seen[day]}."));
            }
            else
            {
                holidays.Add(new CalendarHoliday(day, name));
            }
        }

        return ([.. holidays.OrderBy(holiday => holiday.Day)], faults);
    }

    /// <summary>Writes a list that reads back as the same.</summary>
    public static string Write(IReadOnlyList<CalendarHoliday> holidays) =>
        string.Concat(holidays.OrderBy(holiday => holiday.Day).Select(holiday => $"{holiday.Day:yyyy-MM-dd} {holiday.Name}\n"));
}
