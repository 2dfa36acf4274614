using Google.OrTools.Sat;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>Days of a plan that are set free.</summary>
/// <param name="From">First free day.</param>
/// <param name="Until">First day that is free no more.</param>
/// <param name="ReachFrom">First day on which anything may be put.</param>
/// <param name="ReachUntil">First day on which nothing may be put any more.</param>
/// <param name="Calibrations">Whether calibrations are free too.</param>
internal sealed record FreeSpan(int From, int Until, int ReachFrom, int ReachUntil, bool Calibrations)
{
    /// <summary>Everything.</summary>
    public static FreeSpan Whole { get; } = new(int.MinValue, int.MaxValue, int.MinValue, int.MaxValue, true);

    /// <summary>Whether a span that begins and ends so lies within reach.</summary>
    public bool Reaches(int from, int until) => from >= ReachFrom && until <= ReachUntil;
}

/// <summary>
/// A span of days of a plan set free: every loan that meets it, every request without a kit that could meet it, and every calibration that begins in it may be chosen anew, and all else stays. With the whole span free it is the whole problem.
/// </summary>
/// <remarks>
/// One yes-or-no variable for every request, kit and window. Of all spans of one kit that meet on a day at most one is chosen; it is enough to say so on days on which a span begins. Days without a certificate are spans too, so that no loan can lie on them.
/// The parts of the score are put into one number, each with a factor larger than anything the later ones can come to; the last and least is the number of calibrations.
/// </remarks>
internal sealed class PlanPart
{
    private readonly PlanIndex _index;
    private readonly PlanState _state;
    private readonly FreeSpan _span;
    private readonly CpModel _model = new();
    private readonly Dictionary<(int Request, int Place), BoolVar> _loans = [];
    private readonly Dictionary<(int Kit, int Start), BoolVar> _calibrations = [];
    private readonly List<(int From, int Until, ILiteral Literal)>[] _spans;
    private readonly List<(int From, int Until)>[] _blocked;
    private readonly List<(int From, int Until)>[] _stayingLoans;
    private readonly List<BoolVar> _uncovered = [];
    private readonly List<long> _uncoveredCosts = [];
    private readonly bool[] _free;

    /// <summary>Sets a span free.</summary>
    /// <param name="index">Problem.</param>
    /// <param name="state">A plan that keeps the rules.</param>
    /// <param name="span">What is set free.</param>
    /// <param name="uncoveredDays">Days without a certificate the whole plan may have; at least those of the given one.</param>
    public PlanPart(PlanIndex index, PlanState state, FreeSpan span, int uncoveredDays)
    {
        (_index, _state, _span) = (index, state, span);
        _spans = [.. index.Kits.Select(_ => new List<(int, int, ILiteral)>())];
        _blocked = [.. index.Kits.Select(_ => new List<(int, int)>())];
        _stayingLoans = [.. index.Kits.Select(_ => new List<(int, int)>())];
        _free = new bool[index.Choices.Count];
        SplitLoans();
        AddCalibrations();
        AddLoans();
        AddCover(uncoveredDays);
        AddRows();
        AddTogether();
    }

    /// <summary>Number of variables to choose.</summary>
    public int Size => _loans.Count + _calibrations.Count;

    /// <summary>Looks for the least days without certificates; when none are allowed, for the fewest calibrations.</summary>
    public (PlanState State, bool Proven) LeastUncovered(string parameters, CancellationToken cancellationToken)
    {
        _model.Minimize(_uncovered.Count > 0 ? LinearExpr.WeightedSum(_uncovered, _uncoveredCosts) : LinearExpr.Sum(_calibrations.Values));
        return Solve(parameters, null, cancellationToken);
    }

    /// <summary>Looks for the best choice.</summary>
    /// <param name="parameters">Parameters of the solver.</param>
    /// <param name="better">Told of every better plan while it looks; absent when nobody listens.</param>
    /// <param name="cancellationToken">Ends it; the best so far is given back.</param>
    public (PlanState State, bool Proven) Best(string parameters, Action<PlanState>? better, CancellationToken cancellationToken)
    {
        var perCalibration = 1L;
        var perMove = checked(perCalibration * (_calibrations.Count + 1));
        var perLateDay = checked(perMove * (_index.Choices.Count + 1));
        var worst = _loans.Keys.GroupBy(key => key.Request).Sum(group => group.Max(key => _index.Choices[key.Request][key.Place].Lateness));
        var perWeight = checked(perLateDay * (worst + 1));
        var terms = new List<LinearExpr>();
        foreach (var (key, variable) in _loans)
        {
            var (choice, request) = (_index.Choices[key.Request][key.Place], _index.Problem.Requests[key.Request]);
            var kept = request.PromisedDay is not null && !choice.Moves ? perMove : 0;
            terms.Add(LinearExpr.Term(variable, checked((perLateDay * choice.Lateness) - (perWeight * request.Urgency.Weight) - kept)));
        }

        terms.AddRange(_calibrations.Values.Select(variable => LinearExpr.Term(variable, perCalibration)));
        _model.Minimize(LinearExpr.Sum(terms));
        return Solve(parameters, better, cancellationToken);
    }

    private (PlanState State, bool Proven) Solve(string parameters, Action<PlanState>? better, CancellationToken cancellationToken)
    {
        foreach (var (key, variable) in _loans)
        {
            _model.AddHint(variable, _state.Chosen[key.Request] == key.Place);
        }

        foreach (var (key, variable) in _calibrations)
        {
            _model.AddHint(variable, _state.Calibrations[key.Kit].Contains(key.Start));
        }

        using var solver = new CpSolver { StringParameters = parameters };
        using var listener = new Listener(cancellationToken, better is null ? null : values => better(Read(values)));
        using var stop = cancellationToken.Register(solver.StopSearch);
        var status = cancellationToken.IsCancellationRequested ? CpSolverStatus.Unknown : solver.Solve(_model, listener);
        return status is CpSolverStatus.Optimal or CpSolverStatus.Feasible
            ? (Read(solver.BooleanValue), status == CpSolverStatus.Optimal)
            : (_state, false);
    }

    private PlanState Read(Func<ILiteral, bool> values)
    {
        var chosen = _state.Chosen.ToArray();
        for (var request = 0; request < chosen.Length; request++)
        {
            chosen[request] = _free[request] ? -1 : chosen[request];
        }

        foreach (var (key, variable) in _loans.Where(pair => values(pair.Value)))
        {
            chosen[key.Request] = key.Place;
        }

        var calibrations = _state.Calibrations.Select((starts, kit) => (IReadOnlyList<int>)
        [
            .. starts.Where(start => !IsFree(start)).Concat(_calibrations.Where(pair => pair.Key.Kit == kit && values(pair.Value)).Select(pair => pair.Key.Start)).Order(),
        ]);
        return new PlanState(chosen, [.. calibrations]);
    }

    private bool IsFree(int start) => _span.Calibrations && start >= _span.From && start < _span.Until && _span.Reaches(start, start + _index.Problem.Calibration.DaysAway);

    private void SplitLoans()
    {
        for (var request = 0; request < _free.Length; request++)
        {
            var place = _state.Chosen[request];
            if (place < 0)
            {
                _free[request] = _index.Choices[request].Any(choice => choice.Meets(_span.From, _span.Until) && _span.Reaches(choice.Ship, choice.Bookable));
                continue;
            }

            var taken = _index.Choices[request][place];
            _free[request] = taken.Meets(_span.From, _span.Until) && _span.Reaches(taken.Ship, taken.Bookable);
            if (!_free[request])
            {
                _stayingLoans[taken.Kit].Add((taken.Ship, taken.Bookable));
                _blocked[taken.Kit].Add((taken.Ship, taken.Bookable));
            }
        }

        for (var kit = 0; kit < _blocked.Length; kit++)
        {
            _blocked[kit].AddRange(_state.Calibrations[kit].Where(start => !IsFree(start)).Select(start => (start, start + _index.Problem.Calibration.DaysAway)));
        }
    }

    private bool IsBlocked(int kit, int from, int until) => _blocked[kit].Exists(span => span.From < until && from < span.Until);

    private void AddCalibrations()
    {
        var away = _index.Problem.Calibration.DaysAway;
        for (var kit = 0; kit < _blocked.Length; kit++)
        {
            foreach (var start in _index.Starts[kit].Where(start => IsFree(start) && !IsBlocked(kit, start, start + away)))
            {
                var variable = _model.NewBoolVar(string.Empty);
                _calibrations[(kit, start)] = variable;
                _spans[kit].Add((start, start + away, variable));
            }
        }
    }

    private void AddLoans()
    {
        for (var request = 0; request < _free.Length; request++)
        {
            if (!_free[request])
            {
                continue;
            }

            var choices = _index.Choices[request];
            var ofRequest = new List<ILiteral>();
            for (var place = 0; place < choices.Count; place++)
            {
                var choice = choices[place];
                if (_span.Reaches(choice.Ship, choice.Bookable) && !IsBlocked(choice.Kit, choice.Ship, choice.Bookable))
                {
                    var variable = _model.NewBoolVar(string.Empty);
                    _loans[(request, place)] = variable;
                    _spans[choice.Kit].Add((choice.Ship, choice.Bookable, variable));
                    ofRequest.Add(variable);
                }
            }

            if (ofRequest.Count > 1)
            {
                _model.AddAtMostOne(ofRequest);
            }
        }
    }

    private void AddCover(int uncoveredDays)
    {
        var held = _index.Problem.Calibration.DaysHeld;
        for (var kit = 0; kit < _blocked.Length; kit++)
        {
            var staying = _state.Calibrations[kit].Where(start => !IsFree(start)).ToList();
            foreach (var run in _index.Cover[kit].Where(run => !run.Starts.Any(staying.Contains)))
            {
                var covering = run.Starts.Where(start => _calibrations.ContainsKey((kit, start))).Select(start => (ILiteral)_calibrations[(kit, start)]).ToList();
                var lent = _stayingLoans[kit].Exists(span => span.From < run.Until && run.From < span.Until);
                if (!lent && (run.Cost == 0 || uncoveredDays > 0))
                {
                    var uncovered = _model.NewBoolVar(string.Empty);
                    covering.Add(uncovered);
                    _spans[kit].Add((run.From, run.Until, uncovered));
                    if (run.Cost > 0)
                    {
                        _uncovered.Add(uncovered);
                        _uncoveredCosts.Add(run.Cost);
                    }
                }

                _model.AddBoolOr(covering);
            }
        }

        if (_uncovered.Count > 0)
        {
            _model.Add(LinearExpr.WeightedSum(_uncovered, _uncoveredCosts) <= uncoveredDays);
        }
    }

    private void AddRows()
    {
        foreach (var spans in _spans)
        {
            foreach (var day in spans.Select(span => span.From).Distinct().Order())
            {
                var meeting = spans.Where(span => span.From <= day && day < span.Until).Select(span => span.Literal).ToList();
                if (meeting.Count > 1)
                {
                    _model.AddAtMostOne(meeting);
                }
            }
        }
    }

    private void AddTogether()
    {
        var away = _index.Problem.Calibration.DaysAway;
        var staying = _index.Booked.Concat(_state.Calibrations.SelectMany(starts => starts).Where(start => !IsFree(start)).Select(start => (start, start + away))).ToList();
        foreach (var day in _calibrations.Keys.Select(key => key.Start).Concat(staying.Select(span => span.Item1)).Distinct().Order())
        {
            var meeting = _calibrations.Where(pair => pair.Key.Start <= day && day < pair.Key.Start + away).Select(pair => pair.Value).ToList();
            var room = _index.Problem.Calibration.MostAwayAtOnce - staying.Count(span => span.Item1 <= day && day < span.Item2);
            if (meeting.Count > Math.Max(0, room))
            {
                _model.Add(LinearExpr.Sum(meeting) <= Math.Max(0, room));
            }
        }
    }

    /// <summary>Hears of better plans. It runs on the solver's thread.</summary>
    private sealed class Listener : CpSolverSolutionCallback
    {
        private readonly Action<Func<ILiteral, bool>>? _better;
        private readonly CancellationToken _stop;

        public Listener(CancellationToken stop, Action<Func<ILiteral, bool>>? better) => (_stop, _better) = (stop, better);

        public override void OnSolutionCallback()
        {
            if (_stop.IsCancellationRequested)
            {
                StopSearch();
            }

            _better?.Invoke(BooleanValue);
        }
    }
}
