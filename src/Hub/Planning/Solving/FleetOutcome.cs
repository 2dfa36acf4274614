using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>How long and how a plan is searched.</summary>
/// <param name="Seconds">Longest search, seconds.</param>
/// <param name="Seed">Seed of everything drawn.</param>
internal sealed record FleetSearchSettings(double Seconds, int Seed)
{
    /// <summary>Rounds of improving at most; absent for as many as there is time. With a number, and time enough, the same problem and seed give the same plan.</summary>
    public int? MostRounds { get; init; }

    /// <summary>Seconds for each kind of kit that might be bought; none leaves the question out.</summary>
    public double SecondsForOneMoreKit { get; init; }
}

/// <summary>What no plan can beat.</summary>
/// <param name="UncoveredDays">Days without a certificate: no plan has fewer.</param>
/// <param name="UnplacedWeight">No plan leaves less weight without a kit.</param>
/// <param name="Lateness">No plan that leaves as little weight without a kit as the one found has less; absent while not known.</param>
/// <param name="Proven">The plan found is the best there is, in every part of the score.</param>
internal sealed record FleetBound(int UncoveredDays, long UnplacedWeight, long? Lateness, bool Proven);

/// <summary>Where a search stands.</summary>
/// <param name="Seconds">Seconds since it began.</param>
/// <param name="Score">Score of the best plan so far.</param>
/// <param name="Placed">Requests that have a kit in it.</param>
/// <param name="Bound">What no plan can beat, as far as is known.</param>
internal sealed record FleetSearchProgress(double Seconds, PlanScore Score, int Placed, FleetBound Bound);

/// <summary>What a search came to.</summary>
/// <param name="Plan">The plan.</param>
/// <param name="Score">Its score.</param>
/// <param name="FirstCome">Score of serving the requests in the order asked.</param>
/// <param name="TotalWeight">Weights of all requests, added up.</param>
/// <param name="Bound">What no plan can beat.</param>
/// <param name="Stopped">Whether it was stopped before its time.</param>
/// <param name="Rounds">Rounds of improving.</param>
/// <param name="Seconds">Seconds it took.</param>
/// <param name="OneMore">What one more kit of each kind would change; empty when not asked or stopped before.</param>
internal sealed record FleetOutcome(
    FleetPlan Plan,
    PlanScore Score,
    PlanScore FirstCome,
    long TotalWeight,
    FleetBound Bound,
    bool Stopped,
    int Rounds,
    double Seconds,
    IReadOnlyList<OneMoreKit> OneMore)
{
    /// <summary>How far the weight placed can at most be from the best, as a share of the most that can be placed; zero when nothing can be placed.</summary>
    public double WeightGap => TotalWeight == Bound.UnplacedWeight ? 0 : (double)(Score.UnplacedWeight - Bound.UnplacedWeight) / (TotalWeight - Bound.UnplacedWeight);

    /// <summary>How far the lateness can at most be from the least among plans that place as much, as a share of it; absent while no bound is known.</summary>
    public double? LatenessGap => Bound.Lateness is { } least ? Score.Lateness == 0 ? 0 : (double)(Score.Lateness - least) / Score.Lateness : null;
}

/// <summary>What one more kit of a kind would change.</summary>
/// <param name="Can">What it can measure.</param>
/// <param name="PlacedMore">Requests placed more in the plan found with it.</param>
/// <param name="WeightMore">Their weight, less what is lost.</param>
/// <param name="WeightMoreAtMost">No plan with it places more than this beyond the plan without it.</param>
/// <param name="LatenessLess">Lateness saved; below zero when more placed requests wait longer.</param>
internal sealed record OneMoreKit(IReadOnlySet<string> Can, int PlacedMore, long WeightMore, long WeightMoreAtMost, long LatenessLess);
