using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>The best plan and the best bounds of a search so far. Several threads write to it; whoever listens is told one call at a time.</summary>
internal sealed class SearchBoard
{
    private readonly Lock _lock = new();
    private readonly Func<double> _seconds;
    private readonly Action<FleetSearchProgress>? _tell;
    private readonly int _leastUncovered;
    private long _leastUnplaced;
    private long? _leastLateness;
    private bool _proven;

    public SearchBoard(PlanProblem problem, FleetPlan start, int leastUncovered, Func<double> seconds, Action<FleetSearchProgress>? tell)
    {
        Problem = problem;
        Index = new PlanIndex(problem);
        Plan = start.InOrder();
        State = PlanState.From(Index, start);
        Score = PlanJudge.Score(problem, start);
        _leastUncovered = leastUncovered;
        _seconds = seconds;
        _tell = tell;

        // A request for which there is not one kit and window stays without in every plan.
        _leastUnplaced = problem.Requests.Where((_, number) => Index.Choices[number].Count == 0).Sum(request => (long)request.Urgency.Weight);
        Tell();
    }

    public PlanProblem Problem { get; }

    public PlanIndex Index { get; }

    public FleetPlan Plan { get; private set; }

    public PlanState State { get; private set; }

    public PlanScore Score { get; private set; }

    /// <summary>Whether the whole horizon was improved once; before that the plan changes too fast for a bound that depends on it.</summary>
    public bool Settled { get; private set; }

    public void FirstSweepDone() => Settled = true;

    public FleetBound Bound()
    {
        lock (_lock)
        {
            return BoundInsideLock();
        }
    }

    /// <summary>Takes a plan when it keeps the rules and is no worse.</summary>
    public void Offer(PlanState state) => TryTake(state);

    /// <summary>Takes a plan when it keeps the rules and is no worse.</summary>
    /// <returns>Whether it was taken.</returns>
    public bool TryTake(PlanState state)
    {
        var plan = state.ToPlan(Index);
        var score = PlanJudge.Score(Problem, plan);
        lock (_lock)
        {
            // A solver's word is not enough: every plan is read by the judge before it counts.
            var change = score.CompareTo(Score);
            if (change > 0 || PlanJudge.Faults(Problem, plan).Count > 0)
            {
                return false;
            }

            (Plan, State, Score) = (plan, state, score);
            if (change < 0)
            {
                TellInsideLock();
            }

            return true;
        }
    }

    public void Prove()
    {
        lock (_lock)
        {
            (_proven, _leastUnplaced, _leastLateness) = (true, Score.UnplacedWeight, Score.Lateness);
            TellInsideLock();
        }
    }

    public void BoundUnplaced(long least)
    {
        lock (_lock)
        {
            _leastUnplaced = Math.Max(_leastUnplaced, Math.Min(least, Score.UnplacedWeight));
            TellInsideLock();
        }
    }

    public void BoundLateness(long least)
    {
        lock (_lock)
        {
            _leastLateness = Math.Max(_leastLateness ?? 0, Math.Min(least, Score.Lateness));
            TellInsideLock();
        }
    }

    private FleetBound BoundInsideLock() => new(
        Math.Min(_leastUncovered, Score.UncoveredDays), _leastUnplaced, _leastLateness, (_proven && _leastUncovered >= Score.UncoveredDays) || AllMet());

    private bool AllMet() => Score == new PlanScore(_leastUncovered, _leastUnplaced, _leastLateness ?? -1, 0);

    private void Tell()
    {
        lock (_lock)
        {
            TellInsideLock();
        }
    }

    private void TellInsideLock() => _tell?.Invoke(new FleetSearchProgress(_seconds(), Score, Plan.Loans.Count, BoundInsideLock()));
}
