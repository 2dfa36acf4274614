using System.Globalization;

namespace TeleHearing.Hub.People.LookAlikes;

/// <summary>How near two birth dates are, as they get confused when they are said, heard or typed.</summary>
internal enum BirthDateNearness
{
    Far,

    /// <summary>One digit differs.</summary>
    OneDigit,

    /// <summary>Two digits beside each other are exchanged.</summary>
    DigitsExchanged,

    /// <summary>Day and month are exchanged.</summary>
    DayAndMonthExchanged,

    Same,
}

/// <summary>Nearness of birth dates. Pure.</summary>
internal static class BirthDates
{
    /// <summary>The same in either order.</summary>
    public static BirthDateNearness Compare(DateOnly one, DateOnly other)
    {
        if (one == other)
        {
            return BirthDateNearness.Same;
        }

        if (one.Year == other.Year && one.Month == other.Day && one.Day == other.Month)
        {
            return BirthDateNearness.DayAndMonthExchanged;
        }

        var (digits, others) = (Digits(one), Digits(other));
        var differ = Enumerable.Range(0, digits.Length).Where(index => digits[index] != others[index]).ToList();
        return differ.Count switch
        {
            1 => BirthDateNearness.OneDigit,
            2 when differ[1] == differ[0] + 1 && digits[differ[0]] == others[differ[1]] && digits[differ[1]] == others[differ[0]] => BirthDateNearness.DigitsExchanged,
            _ => BirthDateNearness.Far,
        };
    }

    private static string Digits(DateOnly day) => day.ToString("yyyyMMdd", CultureInfo.InvariantCulture);
}
