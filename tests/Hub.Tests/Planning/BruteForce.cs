using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Tests.Planning;

/// <summary>Tries every plan there is. For problems of a handful of choices.</summary>
internal static class BruteForce
{
    public static PlanScore Best(PlanProblem problem)
    {
        // Two calibrations a kit are enough for the horizons used. Days without a certificate count first and do not depend on the loans, so only the best in that are gone on with.
        var perKit = problem.Kits.Select(kit => Subsets([.. problem.Calibration.StartDays], 2)
            .Select(starts => starts.Select(start => new PlannedCalibration(kit.Id, start, start.AddDays(problem.Calibration.DaysAway))).ToList()).ToList()).ToList();
        PlanScore? best = null;
        var allowed = Product(perKit).Where(calibrations => PlanJudge.Faults(problem, new FleetPlan([], calibrations)).Count == 0)
            .GroupBy(calibrations => PlanJudge.Score(problem, new FleetPlan([], calibrations)).UncoveredDays).MinBy(group => group.Key)!;
        foreach (var calibrations in allowed)
        {
            Place(problem, calibrations, 0, [], ref best);
        }

        return best!;
    }

    private static void Place(PlanProblem problem, IReadOnlyList<PlannedCalibration> calibrations, int request, List<PlannedLoan> loans, ref PlanScore? best)
    {
        if (request == problem.Requests.Count)
        {
            var score = PlanJudge.Score(problem, new FleetPlan(loans, calibrations));
            best = best is null || score.CompareTo(best) < 0 ? score : best;
            return;
        }

        Place(problem, calibrations, request + 1, loans, ref best);
        foreach (var window in problem.Requests[request].Windows)
        {
            foreach (var kit in problem.Kits)
            {
                loans.Add(new PlannedLoan(problem.Requests[request].Id, kit.Id, window));
                if (PlanJudge.Faults(problem, new FleetPlan(loans, calibrations)).Count == 0)
                {
                    Place(problem, calibrations, request + 1, loans, ref best);
                }

                loans.RemoveAt(loans.Count - 1);
            }
        }
    }

    private static IEnumerable<IReadOnlyList<DateOnly>> Subsets(IReadOnlyList<DateOnly> of, int most)
    {
        yield return [];
        for (var first = 0; first < of.Count && most > 0; first++)
        {
            foreach (var rest in Subsets([.. of.Skip(first + 1)], most - 1))
            {
                yield return [of[first], .. rest];
            }
        }
    }

    private static IEnumerable<IReadOnlyList<PlannedCalibration>> Product(IReadOnlyList<List<List<PlannedCalibration>>> of) => of.Count == 0
        ? [[]]
        : of[0].SelectMany(first => Product([.. of.Skip(1)]).Select(rest => (IReadOnlyList<PlannedCalibration>)[.. first, .. rest]));
}
