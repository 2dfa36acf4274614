using System.Globalization;
using System.Runtime.CompilerServices;

namespace TeleHearing.Logistics;

/// <summary>Checks of arguments, with words. A number that cannot be right is refused before anything is computed from it.</summary>
internal static class Require
{
    /// <summary>A number within bounds, ends included; not-a-number and infinity are outside every bound.</summary>
    public static void Within(double value, double lowest, double highest, [CallerArgumentExpression(nameof(value))] string? name = null)
    {
        // The comparison is written so that not-a-number fails it.
        if (!(value >= lowest && value <= highest))
        {
            throw new ArgumentOutOfRangeException(name, value, string.Create(CultureInfo.InvariantCulture, $"Give a number from {lowest} to {highest}."));
        }
    }

    /// <summary>A number above one bound and up to another, the lower end excluded.</summary>
    public static void Above(double value, double above, double highest, [CallerArgumentExpression(nameof(value))] string? name = null)
    {
        if (!(value > above && value <= highest))
        {
            throw new ArgumentOutOfRangeException(name, value, string.Create(CultureInfo.InvariantCulture, $"Give a number above {above} and up to {highest}."));
        }
    }

    /// <summary>A number strictly between bounds.</summary>
    public static void Between(double value, double above, double below, [CallerArgumentExpression(nameof(value))] string? name = null)
    {
        if (!(value > above && value < below))
        {
            throw new ArgumentOutOfRangeException(name, value, string.Create(CultureInfo.InvariantCulture, $"Give a number above {above} and below {below}."));
        }
    }

    /// <summary>A whole number within bounds, ends included.</summary>
    public static void Count(int value, int lowest, int highest, [CallerArgumentExpression(nameof(value))] string? name = null)
    {
        if (value < lowest || value > highest)
        {
            throw new ArgumentOutOfRangeException(name, value, string.Create(CultureInfo.InvariantCulture, $"Give a whole number from {lowest} to {highest}."));
        }
    }

    /// <summary>A date far enough from the ends of the calendar that counting from it cannot leave it.</summary>
    public static void Date(DateOnly value, [CallerArgumentExpression(nameof(value))] string? name = null)
    {
        if (value.Year is < FirstYear or > LastYear)
        {
            throw new ArgumentOutOfRangeException(name, value, string.Create(CultureInfo.InvariantCulture, $"Give a day of the years {FirstYear} to {LastYear}."));
        }
    }

    /// <summary>First year taken for a real one (design): it catches an empty date, which is in the year 1.</summary>
    public const int FirstYear = 1970;

    /// <summary>Last year taken for a real one (design): far from the last day a date can hold.</summary>
    public const int LastYear = 2999;
}
