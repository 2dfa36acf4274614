namespace TeleHearing.Logistics.Fleet;

/// <summary>Share of loans refused when a loan that finds no kit free goes elsewhere (M/G/c/c).</summary>
/// <remarks>
/// Erlang's loss formula, by its recursion B(0) = 1, B(n) = A B(n-1) / (n + A B(n-1)). Of the cycle time only the mean matters, not its distribution.
/// Asked-for loans are taken to come independently of one another, at the same rate all year.
/// </remarks>
public static class ErlangB
{
    /// <summary>Share of loans refused, 0 to 1.</summary>
    /// <param name="load">Offered load A, 0 to <see cref="Load.HighestLoad"/>.</param>
    /// <param name="kits">Kits in the fleet, 0 to <see cref="Load.MostKits"/>.</param>
    public static double Refused(double load, int kits)
    {
        Require.Within(load, 0, Load.HighestLoad);
        Require.Count(kits, 0, Load.MostKits);
        var blocked = 1.0;
        for (var n = 1; n <= kits; n++)
        {
            blocked = load * blocked / (n + (load * blocked));
        }

        return blocked;
    }

    /// <summary>Smallest fleet that refuses no more than a share of loans.</summary>
    /// <param name="load">Offered load A.</param>
    /// <param name="refused">Share that may be refused, above 0 and below 1.</param>
    /// <returns>Kits; absent when even <see cref="Load.MostKits"/> do not do.</returns>
    public static int? SmallestFleet(double load, double refused)
    {
        Require.Within(load, 0, Load.HighestLoad);
        Require.Between(refused, 0, 1);
        var blocked = 1.0;
        for (var n = 0; n <= Load.MostKits; n++)
        {
            blocked = n == 0 ? 1 : load * blocked / (n + (load * blocked));
            if (blocked <= refused)
            {
                return n;
            }
        }

        return null;
    }

    /// <summary>Highest load a fleet can serve at a share of refused loans: the inverse in A.</summary>
    /// <param name="kits">Kits in the fleet, 1 to <see cref="Load.MostKits"/>.</param>
    /// <param name="refused">Share that may be refused, above 0 and below 1.</param>
    /// <returns>Offered load, right to twelve digits by halving; <see cref="Load.HighestLoad"/> when the load would be higher.</returns>
    public static double HighestLoad(int kits, double refused)
    {
        Require.Count(kits, 1, Load.MostKits);
        Require.Between(refused, 0, 1);
        var (low, high) = (0.0, Load.HighestLoad);
        if (Refused(high, kits) <= refused)
        {
            return high;
        }

        // The share refused rises with the load, so halving always closes in on the one load that gives it.
        while (high - low > high * 1e-13)
        {
            var middle = low + ((high - low) / 2);
            if (Refused(middle, kits) <= refused)
            {
                low = middle;
            }
            else
            {
                high = middle;
            }
        }

        return low;
    }
}
