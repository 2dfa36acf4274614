namespace TeleHearing.Logistics.Fleet;

/// <summary>What is asked when a fleet is to be sized.</summary>
/// <param name="LoansPerWeek">Demand: loans asked for a week, refused ones included.</param>
/// <param name="CycleDays">Mean days from sending a kit to being free to send it again, all days counted.</param>
/// <param name="Availability">Share of the year a kit is not away for calibration or repair; see <see cref="Fleet.Availability"/>.</param>
/// <param name="RefusedTarget">Share of loans that may find no kit, as 0.05.</param>
public sealed record FleetQuestion(double LoansPerWeek, double CycleDays, double Availability, double RefusedTarget)
{
    /// <summary>All that keeps it from being answered, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();

        // Each is written so that not-a-number is a fault.
        if (!(LoansPerWeek > 0 && LoansPerWeek <= Load.HighestLoansPerWeek))
        {
            faults.Add(new(nameof(LoansPerWeek), $"Give the loans asked for in a week, above 0 and up to {Load.HighestLoansPerWeek:0}."));
        }

        if (!(CycleDays > 0 && CycleDays <= Load.LongestCycleDays))
        {
            faults.Add(new(nameof(CycleDays), $"Give the mean cycle in days, above 0 and up to {Load.LongestCycleDays:0}."));
        }

        if (faults.Count == 0 && LoansPerWeek * CycleDays / Load.DaysPerWeek > Load.HighestLoad)
        {
            faults.Add(new(nameof(LoansPerWeek), $"So many loans for so long would keep more than {Load.HighestLoad:0} kits out. Look at both numbers."));
        }

        if (!(Availability >= Fleet.Availability.Lowest && Availability <= 1))
        {
            faults.Add(new(nameof(Availability), $"Give the share of the year a kit is there, {Fleet.Availability.Lowest} to 1."));
        }

        if (!(RefusedTarget > 0 && RefusedTarget < 1))
        {
            faults.Add(new(nameof(RefusedTarget), "Give the share of loans that may find no kit, above 0 and below 1; 0.05 is one in twenty."));
        }

        return faults;
    }
}
