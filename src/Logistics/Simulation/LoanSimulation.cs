using TeleHearing.Logistics.Fleet;
using TeleHearing.Logistics.Numerics;

namespace TeleHearing.Logistics.Simulation;

/// <summary>Years of loans played through: who asks, who gets a kit, who is refused. Holds the formulas against what they leave out, such as weekends and holidays.</summary>
/// <param name="LoansPerWeek">Demand: loans asked for a week, at random and independently.</param>
/// <param name="Kits">Kits at work.</param>
/// <param name="Cycle">How long a kit is away.</param>
/// <param name="DaysPerYear">Length of one played year that is counted, days.</param>
public sealed record LoanSimulation(double LoansPerWeek, int Kits, CycleTime Cycle, double DaysPerYear)
{
    /// <summary>Most loans asked for in one call (design): it takes some seconds.</summary>
    public const double MostLoans = 20_000_000;

    /// <summary>Fewest played years: an interval needs their scatter.</summary>
    public const int FewestYears = 5;

    /// <summary>Cycles played before anything is counted (design): a fleet that was all at home at the start has forgotten it by then.</summary>
    public const double WarmUpCycles = 10;

    /// <summary>All that keeps it from being played, at once.</summary>
    /// <param name="years">Years to be played.</param>
    public IReadOnlyList<LogisticsFault> Faults(int years)
    {
        var faults = new List<LogisticsFault>();
        if (!(LoansPerWeek > 0 && LoansPerWeek <= Load.HighestLoansPerWeek))
        {
            faults.Add(new(nameof(LoansPerWeek), $"Give the loans asked for in a week, above 0 and up to {Load.HighestLoansPerWeek:0}."));
        }

        if (Kits is < 0 or > Load.MostKits)
        {
            faults.Add(new(nameof(Kits), $"Give the kits at work, 0 to {Load.MostKits}."));
        }

        if (!(DaysPerYear >= 1 && DaysPerYear <= 3660))
        {
            faults.Add(new(nameof(DaysPerYear), "Give the days of a played year, 1 to 3660; 365 is usual."));
        }

        if (years < FewestYears)
        {
            faults.Add(new(nameof(years), $"Play at least {FewestYears} years: the interval comes from their scatter."));
        }

        faults.AddRange(Cycle is null ? [new(nameof(Cycle), "Say how long a kit is away.")] : Cycle.Faults());
        if (faults.Count == 0 && LoansPerWeek / Load.DaysPerWeek * (WarmUpDays + DaysPerYear) * years > MostLoans)
        {
            faults.Add(new(nameof(years), $"That would be more than {MostLoans:0} loans. Play fewer years."));
        }

        return faults;
    }

    /// <summary>Plays.</summary>
    /// <param name="years">Years, each begun anew, <see cref="FewestYears"/> or more.</param>
    /// <param name="seed">Seed of all chance in it: the same seed gives the same years.</param>
    /// <param name="confidence">Confidence of the interval, above 0 and below 1.</param>
    /// <param name="cancellationToken">Ends it early.</param>
    /// <exception cref="ArgumentOutOfRangeException">It has faults; the message holds them all.</exception>
    /// <exception cref="OperationCanceledException">It was ended early.</exception>
    public LoanSimulationResult Run(int years, int seed, double confidence, CancellationToken cancellationToken)
    {
        var faults = Faults(years);
        if (faults.Count > 0)
        {
            throw new ArgumentOutOfRangeException(faults[0].Field, string.Join(" ", faults));
        }

        Require.Between(confidence, 0, 1);
        var seeds = new Random(seed);
        var source = Cycle.Source();
        var played = new PlayedYear[years];
        for (var year = 0; year < years; year++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            played[year] = Play(source, new Random(seeds.Next()));
        }

        var asked = played.Sum(one => one.Asked);
        var served = asked - played.Sum(one => one.Refused);
        var meanCycle = served == 0 ? (double?)null : played.Sum(one => one.CycleDays) / served;
        return new LoanSimulationResult(RefusedShare(played, confidence), asked, meanCycle, seed, WarmUpDays);
    }

    private double WarmUpDays => Math.Ceiling(WarmUpCycles * Cycle.RoughMeanDays);

    private PlayedYear Play(Func<double, Random, (double From, double Until)> source, Random random)
    {
        var (warm, end) = (WarmUpDays, WarmUpDays + DaysPerYear);
        var meanGapDays = Load.DaysPerWeek / LoansPerWeek;
        var away = new PriorityQueue<double, double>();
        var (asked, refused, cycles) = (0L, 0L, 0.0);
        for (var now = Draws.Exponential(random, meanGapDays); now < end; now += Draws.Exponential(random, meanGapDays))
        {
            var (from, until) = source(now, random);

            // Loans are sent in the order in which they are asked for, so what is back by then stays back for all later ones.
            while (away.TryPeek(out _, out var back) && back <= from)
            {
                away.Dequeue();
            }

            var served = away.Count < Kits;
            if (served)
            {
                away.Enqueue(until, until);
            }

            if (now >= warm)
            {
                asked++;
                refused += served ? 0 : 1;
                cycles += served ? until - from : 0;
            }
        }

        return new PlayedYear(asked, refused, cycles);
    }

    private static Estimate RefusedShare(PlayedYear[] years, double confidence)
    {
        // The ratio of two sums; its scatter is that of refused - share x asked, year by year (ratio estimator, Cochran, Sampling Techniques).
        var (asked, refused) = (years.Sum(year => (double)year.Asked), years.Sum(year => (double)year.Refused));
        if (asked == 0)
        {
            return new Estimate(0, 0, 1, confidence, 0, LoanSimulationResult.Method);
        }

        var share = refused / asked;
        var variance = years.Sum(year => Math.Pow(year.Refused - (share * year.Asked), 2)) / (years.Length - 1);
        var half = StudentT.TwoSided(years.Length - 1, confidence) * Math.Sqrt(variance / years.Length) / (asked / years.Length);
        return new Estimate(share, Math.Max(0, share - half), Math.Min(1, share + half), confidence, years.Length, LoanSimulationResult.Method);
    }

    private readonly record struct PlayedYear(long Asked, long Refused, double CycleDays);
}

/// <summary>What came of the played years.</summary>
/// <param name="Refused">Share of loans refused, with its interval over the years; its count is that of years.</param>
/// <param name="AskedFor">Loans asked for in all counted years.</param>
/// <param name="MeanCycleDays">Mean days a served loan had its kit; absent when none was served.</param>
/// <param name="Seed">Seed the years came from.</param>
/// <param name="WarmUpDays">Days played before each counted year.</param>
public sealed record LoanSimulationResult(Estimate Refused, long AskedFor, double? MeanCycleDays, int Seed, double WarmUpDays)
{
    /// <summary>Name of the interval.</summary>
    public const string Method = "Student's t interval of the share over independent played years";
}
