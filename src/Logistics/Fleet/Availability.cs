namespace TeleHearing.Logistics.Fleet;

/// <summary>Share of the year a kit is not away for calibration or repair. The fleet that demand needs is divided by it.</summary>
public static class Availability
{
    /// <summary>Days of a year, as absence is counted.</summary>
    public const double DaysPerYear = 365;

    /// <summary>Availability from days away: 14 days a year leave 0.962, four times 14 leave 0.847 (practice reference).</summary>
    /// <param name="daysAway">Days away each time, 0 or more.</param>
    /// <param name="timesPerYear">Times a year, 0 or more.</param>
    /// <returns>Share of the year, above 0 and up to 1.</returns>
    /// <exception cref="ArgumentOutOfRangeException">The kit would be away all year or more.</exception>
    public static double Of(double daysAway, double timesPerYear)
    {
        Require.Within(daysAway, 0, DaysPerYear);
        Require.Within(timesPerYear, 0, DaysPerYear);
        var away = daysAway * timesPerYear;
        if (away >= DaysPerYear)
        {
            throw new ArgumentOutOfRangeException(nameof(daysAway), away, "The kit would be away all year. Give days away and times a year that leave some of it.");
        }

        return 1 - (away / DaysPerYear);
    }

    /// <summary>Kits to own so that a number of them is there on average, rounded up.</summary>
    /// <param name="kits">Kits needed at work, 0 to <see cref="Load.MostKits"/>.</param>
    /// <param name="availability">Share of the year a kit is there, 0.01 to 1.</param>
    public static int KitsToOwn(int kits, double availability)
    {
        Require.Count(kits, 0, Load.MostKits);
        Require.Within(availability, Lowest, 1);

        // A quotient that is whole but for rounding must not ask for one kit more.
        return (int)Math.Ceiling((kits / availability) - 1e-9);
    }

    /// <summary>Lowest availability taken for a real one (design).</summary>
    public const double Lowest = 0.01;
}
