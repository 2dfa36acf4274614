namespace TeleHearing.Logistics.Fleet;

/// <summary>Kits lost on the way, each trip with the same chance and independent of the others.</summary>
public static class TripLoss
{
    /// <summary>Most trips looked ahead (design).</summary>
    public const int MostTrips = 1_000_000;

    /// <summary>Trips a kit makes on average before it is lost, the last one counted: 1/p.</summary>
    /// <param name="lossPerTrip">Chance of loss on one trip, above 0 and up to 1.</param>
    public static double MeanTrips(double lossPerTrip)
    {
        Require.Above(lossPerTrip, 0, 1);
        return 1 / lossPerTrip;
    }

    /// <summary>Chance that a kit is still there after a number of trips: (1 - p)^n.</summary>
    /// <param name="lossPerTrip">Chance of loss on one trip, 0 to 1.</param>
    /// <param name="trips">Trips, 0 to <see cref="MostTrips"/>.</param>
    public static double Survival(double lossPerTrip, int trips)
    {
        Require.Within(lossPerTrip, 0, 1);
        Require.Count(trips, 0, MostTrips);
        return Math.Pow(1 - lossPerTrip, trips);
    }

    /// <summary>Kits lost a year on average.</summary>
    /// <param name="lossPerTrip">Chance of loss on one trip, 0 to 1.</param>
    /// <param name="loansPerWeek">Loans served a week.</param>
    /// <param name="tripsPerLoan">Trips of one loan: 2 when out and back both go by post.</param>
    public static double PerYear(double lossPerTrip, double loansPerWeek, int tripsPerLoan)
    {
        Require.Within(lossPerTrip, 0, 1);
        Require.Within(loansPerWeek, 0, Load.HighestLoansPerWeek);
        Require.Count(tripsPerLoan, 0, 10);
        return lossPerTrip * loansPerWeek * tripsPerLoan * Load.DaysPerYear / Load.DaysPerWeek;
    }
}
