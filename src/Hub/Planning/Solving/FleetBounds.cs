using Google.OrTools.LinearSolver;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>
/// What no plan can beat. Kits that can do the same are counted together day by day instead of told apart, and choices may be divided: a linear programme, small enough to be solved for a whole year in seconds. Every plan fits into it, so its optimum is a bound.
/// </summary>
internal sealed class FleetBounds : IDisposable
{
    // Linear programmes are solved to about 1e-6; a bound is rounded up only past a clear distance above that.
    private const double Tolerance = 1e-4;

    private readonly PlanIndex _index;
    private readonly Solver _solver = Solver.CreateSolver("GLOP") ?? throw new InvalidOperationException("The linear solver is not in this build.");
    private readonly List<(Variable Variable, int Weight, long Lateness)> _loans = [];
    private readonly Constraint _placedWeight;

    public FleetBounds(PlanIndex index, int uncoveredDays)
    {
        _index = index;
        _placedWeight = _solver.MakeConstraint(double.NegativeInfinity, double.PositiveInfinity);
        var groups = index.Problem.Kits.Select((kit, number) => (Key: string.Join('\n', kit.Can.Order(StringComparer.Ordinal)), number)).GroupBy(pair => pair.Key).Select(group => group.Select(pair => pair.number).ToList()).ToList();
        var groupOf = new int[index.Kits.Count];
        var rows = new Constraint[groups.Count][];
        for (var group = 0; group < groups.Count; group++)
        {
            groups[group].ForEach(kit => groupOf[kit] = group);
            rows[group] = Rows(groups[group]);
        }

        AddLoans(groupOf, rows);
        AddCalibrations(groupOf, rows, uncoveredDays);
    }

    /// <summary>Least weight that stays without a kit.</summary>
    /// <returns>Absent when it was stopped.</returns>
    public long? LeastUnplacedWeight(CancellationToken cancellationToken)
    {
        foreach (var loan in _loans)
        {
            _solver.Objective().SetCoefficient(loan.Variable, -loan.Weight);
        }

        return Minimum(cancellationToken) is { } least ? Math.Max(0, (long)Math.Ceiling(_index.TotalWeight + least - Tolerance)) : null;
    }

    /// <summary>Least lateness of all plans that leave no more weight without a kit than given.</summary>
    /// <returns>Absent when it was stopped.</returns>
    public long? LeastLateness(long unplacedWeight, CancellationToken cancellationToken)
    {
        foreach (var loan in _loans)
        {
            _solver.Objective().SetCoefficient(loan.Variable, loan.Lateness);
        }

        _placedWeight.SetLb(_index.TotalWeight - unplacedWeight);
        return Minimum(cancellationToken) is { } least ? Math.Max(0, (long)Math.Ceiling(least - Tolerance)) : null;
    }

    public void Dispose() => _solver.Dispose();

    private double? Minimum(CancellationToken cancellationToken)
    {
        _solver.Objective().SetMinimization();
        using var stop = cancellationToken.Register(() => _solver.InterruptSolve());
        return !cancellationToken.IsCancellationRequested && _solver.Solve() == Solver.ResultStatus.OPTIMAL ? _solver.Objective().Value() : null;
    }

    private Constraint[] Rows(IReadOnlyList<int> kits) =>
    [
        .. Enumerable.Range(_index.From, _index.End - _index.From).Select(day =>
        {
            var date = DateOnly.FromDayNumber(day);
            return _solver.MakeConstraint(double.NegativeInfinity, kits.Count(kit => _index.Kits[kit].IsFree(date, date.AddDays(1))));
        }),
    ];

    private void AddLoans(int[] groupOf, Constraint[][] rows)
    {
        for (var request = 0; request < _index.Choices.Count; request++)
        {
            var once = _solver.MakeConstraint(double.NegativeInfinity, 1);
            foreach (var choice in _index.Choices[request].DistinctBy(choice => (choice.Window, groupOf[choice.Kit])))
            {
                var variable = _solver.MakeNumVar(0, 1, string.Empty);
                var weight = _index.Problem.Requests[request].Urgency.Weight;
                once.SetCoefficient(variable, 1);
                _placedWeight.SetCoefficient(variable, weight);
                _loans.Add((variable, weight, choice.Lateness));
                Take(rows[groupOf[choice.Kit]], variable, choice.Ship, choice.Bookable);
            }
        }
    }

    private void AddCalibrations(int[] groupOf, Constraint[][] rows, int uncoveredDays)
    {
        var terms = _index.Problem.Calibration;
        var together = Enumerable.Range(_index.From, _index.End - _index.From)
            .Select(day => _solver.MakeConstraint(double.NegativeInfinity, Math.Max(0, terms.MostAwayAtOnce - _index.Booked.Count(span => span.From <= day && day < span.Until)))).ToArray();
        var allUncovered = _solver.MakeConstraint(double.NegativeInfinity, uncoveredDays);
        for (var kit = 0; kit < groupOf.Length; kit++)
        {
            var starts = new Dictionary<int, Variable>();
            foreach (var start in _index.Starts[kit])
            {
                starts[start] = _solver.MakeNumVar(0, 1, string.Empty);
                Take(rows[groupOf[kit]], starts[start], start, start + terms.DaysAway);
                Take(together, starts[start], start, start + terms.DaysAway);
            }

            foreach (var run in _index.Cover[kit])
            {
                var covered = _solver.MakeConstraint(1, double.PositiveInfinity);
                var uncovered = _solver.MakeNumVar(0, 1, string.Empty);
                covered.SetCoefficient(uncovered, 1);
                allUncovered.SetCoefficient(uncovered, run.Cost);
                Take(rows[groupOf[kit]], uncovered, run.From, run.Until);
                foreach (var start in run.Starts)
                {
                    covered.SetCoefficient(starts[start], 1);
                }
            }
        }
    }

    private void Take(Constraint[] rows, Variable variable, int from, int until)
    {
        for (var day = from; day < Math.Min(until, _index.End); day++)
        {
            rows[day - _index.From].SetCoefficient(variable, 1);
        }
    }
}
