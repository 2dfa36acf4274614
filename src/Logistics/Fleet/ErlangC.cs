namespace TeleHearing.Logistics.Fleet;

/// <summary>Share of loans that must wait, and how long, when a loan that finds no kit free waits for one (M/M/c).</summary>
/// <remarks>
/// Erlang's delay formula C = c B / (c - A (1 - B)) for A below c. The mean wait W = C T / (c - A) holds for exponentially distributed cycle times; with more even
/// ones people wait less. When A is c or more the queue grows without end, which is said by an absent answer.
/// </remarks>
public static class ErlangC
{
    /// <summary>Share of loans that wait, 0 to 1; absent when the fleet cannot keep up (A not below c).</summary>
    /// <param name="load">Offered load A, 0 to <see cref="Load.HighestLoad"/>.</param>
    /// <param name="kits">Kits in the fleet, 1 to <see cref="Load.MostKits"/>.</param>
    public static double? Waiting(double load, int kits)
    {
        Require.Within(load, 0, Load.HighestLoad);
        Require.Count(kits, 1, Load.MostKits);
        if (load >= kits)
        {
            return null;
        }

        var refused = ErlangB.Refused(load, kits);
        return kits * refused / (kits - (load * (1 - refused)));
    }

    /// <summary>Mean wait over all loans, those that do not wait included; absent when the fleet cannot keep up.</summary>
    /// <param name="load">Offered load A.</param>
    /// <param name="kits">Kits in the fleet.</param>
    /// <param name="cycleDays">Mean cycle time T, days.</param>
    /// <returns>Days.</returns>
    public static double? MeanWaitDays(double load, int kits, double cycleDays)
    {
        Require.Within(cycleDays, 0, Load.LongestCycleDays);
        return Waiting(load, kits) is { } waiting ? waiting * cycleDays / (kits - load) : null;
    }
}
