using TeleHearing.Logistics.Numerics;

namespace TeleHearing.Logistics.Fleet;

/// <summary>Kits out at one time when no loan is ever refused: Poisson with mean A.</summary>
public static class PoissonCount
{
    /// <summary>Probability of no more than a number of events, 0 to 1.</summary>
    /// <param name="count">Events, 0 to a million.</param>
    /// <param name="mean">Mean, 0 to a million.</param>
    public static double AtMost(int count, double mean)
    {
        Require.Count(count, 0, MostEvents);
        Require.Within(mean, 0, MostEvents);
        return count + 1 > mean ? 1 - Gamma.RegularisedLower(count + 1, mean) : Gamma.RegularisedUpper(count + 1, mean);
    }

    /// <summary>Smallest number of kits that is enough for a share of the time when loans that find none wait instead of going elsewhere.</summary>
    /// <param name="load">Offered load A, the mean of kits out.</param>
    /// <param name="enough">Share of the time for which they are enough, above 0 and below 1.</param>
    /// <remarks>Base stock: the smallest c with P(N &lt;= c) at the wanted share or above.</remarks>
    public static int BaseStock(double load, double enough)
    {
        Require.Within(load, 0, Load.HighestLoad);
        Require.Between(enough, 0, 1);
        var (low, high) = (-1, 1);
        while (AtMost(high, load) < enough)
        {
            (low, high) = (high, high * 2);
        }

        while (high - low > 1)
        {
            var middle = low + ((high - low) / 2);
            (low, high) = AtMost(middle, load) >= enough ? (low, middle) : (middle, high);
        }

        return high;
    }

    /// <summary>Most events the sums are taken over (design).</summary>
    public const int MostEvents = 1_000_000;
}
