using TeleHearing.Logistics.Numerics;

namespace TeleHearing.Logistics.Fleet;

/// <summary>What an owner's own records say of demand and cycle.</summary>
/// <param name="From">First day of the records.</param>
/// <param name="Until">First day after them.</param>
/// <param name="AskedFor">Loans asked for in that time, refused ones included: leaving those out makes the demand look smaller than it is.</param>
/// <param name="CycleDays">Days from sending to being free again, of each loan finished in that time.</param>
public sealed record LoanHistory(DateOnly From, DateOnly Until, int AskedFor, IReadOnlyList<double> CycleDays)
{
    /// <summary>Fewest loans asked for from which a rate is given (design): with ten the interval still reaches from about half to twice the rate.</summary>
    public const int FewestLoans = 10;

    /// <summary>Fewest weeks from which a rate is given (design).</summary>
    public const int FewestWeeks = 8;

    /// <summary>Fewest finished loans from which a mean cycle is given (design).</summary>
    public const int FewestCycles = 5;

    /// <summary>All that keeps the records from being used, at once.</summary>
    public IReadOnlyList<LogisticsFault> Faults()
    {
        var faults = new List<LogisticsFault>();
        if (From.Year is < Require.FirstYear or > Require.LastYear || Until.Year is < Require.FirstYear or > Require.LastYear || Until <= From)
        {
            faults.Add(new(nameof(Until), "The records must end after they begin."));
        }

        if (AskedFor is < 0 or > PoissonCount.MostEvents)
        {
            faults.Add(new(nameof(AskedFor), $"Give the number of loans asked for, 0 to {PoissonCount.MostEvents}."));
        }

        if (CycleDays is null || CycleDays.Any(days => !(days > 0 && days <= Load.LongestCycleDays)))
        {
            faults.Add(new(nameof(CycleDays), $"A cycle must be above 0 and up to {Load.LongestCycleDays:0} days."));
        }

        return faults;
    }

    /// <summary>Demand and mean cycle with their intervals, or why there is not enough to say.</summary>
    /// <param name="confidence">Share of such intervals that hold the truth, above 0 and below 1.</param>
    /// <exception cref="ArgumentOutOfRangeException">The records have faults; the message holds them all.</exception>
    public HistoryEstimate Estimate(double confidence)
    {
        var faults = Faults();
        if (faults.Count > 0)
        {
            throw new ArgumentOutOfRangeException(faults[0].Field, string.Join(" ", faults));
        }

        Require.Between(confidence, 0, 1);
        var weeks = (Until.DayNumber - From.DayNumber) / Load.DaysPerWeek;
        var enoughLoans = AskedFor >= FewestLoans && weeks >= FewestWeeks;
        var enoughCycles = CycleDays.Count >= FewestCycles;
        string[] missing =
        [
            .. enoughLoans ? Array.Empty<string>() : [$"Not enough history for a demand: {AskedFor} loans asked for in {weeks:0.#} weeks; at least {FewestLoans} in {FewestWeeks} weeks are wanted."],
            .. enoughCycles ? Array.Empty<string>() : [$"Not enough history for a cycle: {CycleDays.Count} finished loans; at least {FewestCycles} are wanted."],
        ];
        return new HistoryEstimate(
            enoughLoans ? Numerics.Estimate.Rate(AskedFor, weeks, confidence) : null,
            enoughCycles ? Numerics.Estimate.Mean(CycleDays, confidence) : null,
            missing);
    }
}

/// <summary>What the records say.</summary>
/// <param name="LoansPerWeek">Demand; absent without enough history.</param>
/// <param name="CycleDays">Mean cycle; absent without enough history.</param>
/// <param name="NotEnough">Why something is absent, a sentence each.</param>
public sealed record HistoryEstimate(Estimate? LoansPerWeek, Estimate? CycleDays, IReadOnlyList<string> NotEnough);
