using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>
/// Looks for the best plan of a fleet. It begins with the plan of the order of asking and only ever takes a better one, so it cannot end worse.
/// </summary>
/// <remarks>
/// A small problem is solved whole, and proven. A whole year is improved span by span, each span solved by itself with all else staying (docs/decisions/0027), while a linear programme beside it finds what no plan can beat.
/// Runs on the caller's thread and two of the pool; holds no state between runs.
/// </remarks>
internal sealed class FleetSearch(TimeProvider time)
{
    /// <summary>Choices up to which a problem is first tried whole (design, from runs on two cores).</summary>
    private const int WholeUpTo = 2500;

    /// <summary>Searches.</summary>
    /// <param name="problem">A problem without faults.</param>
    /// <param name="settings">How long.</param>
    /// <param name="tell">Told of every better plan and bound, one call at a time.</param>
    /// <param name="stop">Ends it with the best plan so far.</param>
    /// <exception cref="ArgumentException">The problem has faults.</exception>
    public FleetOutcome Run(PlanProblem problem, FleetSearchSettings settings, Action<FleetSearchProgress>? tell, CancellationToken stop)
    {
        var faults = PlanFaults.Of(problem);
        if (faults.Count > 0)
        {
            throw new ArgumentException(string.Join(" ", faults), nameof(problem));
        }

        var began = time.GetTimestamp();
        using var budget = new CancellationTokenSource(TimeSpan.FromSeconds(settings.Seconds), time);
        using var ends = CancellationTokenSource.CreateLinkedTokenSource(stop, budget.Token);
        var firstCome = FirstComePlanner.Plan(problem);
        var firstScore = PlanJudge.Score(problem, firstCome);
        var (start, leastUncovered) = Begin(problem, firstCome, firstScore, ends.Token);
        var board = new SearchBoard(problem, start, leastUncovered, () => time.GetElapsedTime(began).TotalSeconds, tell);
        var rounds = Improve(board, settings, ends);

        var outcome = new FleetOutcome(
            board.Plan, board.Score, firstScore, board.Index.TotalWeight, board.Bound(), stop.IsCancellationRequested, rounds, time.GetElapsedTime(began).TotalSeconds, []);
        return settings.SecondsForOneMoreKit > 0 && !stop.IsCancellationRequested
            ? outcome with { OneMore = OneMore(problem, outcome, settings, stop), Seconds = time.GetElapsedTime(began).TotalSeconds }
            : outcome;
    }

    /// <summary>The plan of the order of asking, around calibrations that leave the fewest days uncovered.</summary>
    private static (FleetPlan Plan, int LeastUncovered) Begin(PlanProblem problem, FleetPlan firstCome, PlanScore firstScore, CancellationToken ends)
    {
        if (firstScore.UncoveredDays == 0)
        {
            return (firstCome, 0);
        }

        var index = new PlanIndex(problem with { Requests = [] });
        var part = new PlanPart(index, PlanState.From(index, FleetPlan.Empty with { Calibrations = firstCome.Calibrations }), FreeSpan.Whole, firstScore.UncoveredDays);
        var (state, proven) = part.LeastUncovered("num_workers:1,max_deterministic_time:3", ends);

        // Fewest apart and briefly: it is hard to prove and later parts see to it too.
        var uncovered = PlanJudge.Score(index.Problem, state.ToPlan(index)).UncoveredDays;
        (state, _) = new PlanPart(index, state, FreeSpan.Whole, uncovered).LeastUncovered("num_workers:1,max_deterministic_time:0.5", ends);
        var better = FirstComePlanner.Place(problem, state.ToPlan(index).Calibrations);
        var score = PlanJudge.Score(problem, better);
        return (score.CompareTo(firstScore) < 0 ? better : firstCome, proven ? Math.Min(score.UncoveredDays, firstScore.UncoveredDays) : 0);
    }

    private static int Improve(SearchBoard board, FleetSearchSettings settings, CancellationTokenSource ends)
    {
        if (board.Index.Choices.Sum(choices => choices.Count) <= WholeUpTo)
        {
            var whole = new PlanPart(board.Index, board.State, FreeSpan.Whole, board.Score.UncoveredDays);
            var (state, proven) = whole.Best($"num_workers:1,max_deterministic_time:20,random_seed:{settings.Seed & int.MaxValue}", board.Offer, ends.Token);
            board.Offer(state);
            if (proven)
            {
                board.Prove();
                return 0;
            }
        }

        using var done = CancellationTokenSource.CreateLinkedTokenSource(ends.Token);
        var bounds = Task.Run(() => BoundWatch.Run(board, done.Token), CancellationToken.None);
        try
        {
            return new SpanRounds(board, settings).Run(ends.Token);
        }
        finally
        {
            done.Cancel();
            bounds.GetAwaiter().GetResult();
        }
    }

    private List<OneMoreKit> OneMore(PlanProblem problem, FleetOutcome without, FleetSearchSettings settings, CancellationToken stop)
    {
        var found = new List<OneMoreKit>();
        foreach (var can in problem.Kits.Select(kit => kit.Can).DistinctBy(can => string.Join('\n', can.Order(StringComparer.Ordinal))))
        {
            if (stop.IsCancellationRequested)
            {
                break;
            }

            using var budget = new CancellationTokenSource(TimeSpan.FromSeconds(settings.SecondsForOneMoreKit), time);
            using var ends = CancellationTokenSource.CreateLinkedTokenSource(stop, budget.Token);
            found.Add(OneMoreOf(problem, can, without, settings, ends));
        }

        return found;
    }

    private static OneMoreKit OneMoreOf(PlanProblem problem, IReadOnlySet<string> can, FleetOutcome without, FleetSearchSettings settings, CancellationTokenSource ends)
    {
        // It comes with a fresh certificate and goes to calibration like the others, around the calibrations planned for them.
        var extra = new PlanKit("one more kit", can, problem.From, problem.From.AddDays(problem.Calibration.DaysHeld - 1));
        while (problem.Kits.Any(kit => kit.Id == extra.Id))
        {
            extra = extra with { Id = extra.Id + "+" };
        }

        var planned = without.Plan.Calibrations.ToLookup(one => one.KitId, StringComparer.Ordinal);
        var settled = problem.Kits.Select(kit => kit with { Away = [.. kit.Away, .. planned[kit.Id].Select(one => new KitAway(one.From, one.Until, AwayReason.Calibration, "planned"))] });
        var own = FirstComePlanner.Calibrate(problem with { Requests = [], Kits = [.. settled, extra] }).Where(one => one.KitId == extra.Id);
        var larger = problem with { Kits = [.. problem.Kits, extra] };
        var board = new SearchBoard(larger, without.Plan with { Calibrations = [.. without.Plan.Calibrations, .. own] }, 0, () => 0, null);
        Improve(board, settings, ends);
        return new OneMoreKit(
            can,
            board.Plan.Loans.Count - without.Plan.Loans.Count,
            without.Score.UnplacedWeight - board.Score.UnplacedWeight,
            without.Score.UnplacedWeight - board.Bound().UnplacedWeight,
            without.Score.Lateness - board.Score.Lateness);
    }
}
