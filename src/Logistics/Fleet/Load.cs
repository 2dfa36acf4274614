namespace TeleHearing.Logistics.Fleet;

/// <summary>Bounds of what the fleet formulas take, so that a slip of the hand is refused and not computed.</summary>
public static class Load
{
    /// <summary>Most kits of a fleet (design): the recursions stay exact and quick far above it.</summary>
    public const int MostKits = 10_000;

    /// <summary>Highest offered load, kits out on average if none were ever refused (design).</summary>
    public const double HighestLoad = 10_000;

    /// <summary>Highest demand, loans a week (design).</summary>
    public const double HighestLoansPerWeek = 10_000;

    /// <summary>Longest cycle, days (design): ten years.</summary>
    public const double LongestCycleDays = 3660;

    /// <summary>Days of a week.</summary>
    public const double DaysPerWeek = 7;

    /// <summary>Days of a year, on average.</summary>
    public const double DaysPerYear = 365.25;

    /// <summary>Offered load A = λT: kits that would be out on average if no loan were ever refused.</summary>
    /// <param name="loansPerWeek">Demand, loans asked for a week, refused ones included.</param>
    /// <param name="cycleDays">Mean days from sending a kit to being free to send it again.</param>
    public static double Offered(double loansPerWeek, double cycleDays)
    {
        Require.Within(loansPerWeek, 0, HighestLoansPerWeek);
        Require.Within(cycleDays, 0, LongestCycleDays);
        return loansPerWeek * cycleDays / DaysPerWeek;
    }
}
