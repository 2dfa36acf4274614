using System.Globalization;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>
/// Improves a plan span by span, over and over the whole horizon. Two spans half a horizon apart are solved at once, each on one core; only one of them may move calibrations, since a certificate reaches into the other's days.
/// </summary>
internal sealed class SpanRounds
{
    /// <summary>Length of the first spans, days (design, from runs on two cores): two such parts are solved in about a second.</summary>
    private const int FirstLengthDays = 21;

    private const int ShortestDays = 10;

    /// <summary>Work on each part the first time over the horizon, in the solver's own measure, about seconds (design): much is gained at little cost, and a second look comes anyway.</summary>
    private const double FirstWork = 0.3;

    /// <summary>Work on each part later on.</summary>
    private const double LaterWork = 1;

    private readonly SearchBoard _board;
    private readonly FleetSearchSettings _settings;
    private readonly Random _random;
    private readonly int _uncovered;
    private int _length = FirstLengthDays;
    private double _work = FirstWork;

    public SpanRounds(SearchBoard board, FleetSearchSettings settings)
    {
        (_board, _settings) = (board, settings);
        _random = new Random(settings.Seed);
        _uncovered = board.Score.UncoveredDays;
    }

    /// <summary>Improves until it is stopped, the rounds are over or nothing better can be.</summary>
    /// <returns>Rounds done.</returns>
    public int Run(CancellationToken cancellationToken)
    {
        var rounds = 0;
        var (first, end) = (_board.Index.From, _board.Index.End);
        var offset = 0;
        while (!cancellationToken.IsCancellationRequested && rounds < (_settings.MostRounds ?? int.MaxValue) && !_board.Bound().Proven)
        {
            var half = (end - first) / 2;
            if (offset > half)
            {
                offset = -_random.Next(Math.Max(1, _length / 2));
                _work = LaterWork;
                _board.FirstSweepDone();
            }

            Round(first + offset, half, turn: rounds, cancellationToken);
            offset += Math.Max(1, _length / 2);
            rounds++;
        }

        return rounds;
    }

    private void Round(int from, int half, int turn, CancellationToken cancellationToken)
    {
        var state = _board.State;
        if (half < 2 * _length)
        {
            Solve(new FreeSpan(from, from + (2 * _length), int.MinValue, int.MaxValue, Calibrations: true), state, turn, cancellationToken);
            return;
        }

        var middle = from + ((half + _length) / 2);
        var early = new FreeSpan(from, from + _length, int.MinValue, middle, Calibrations: turn % 2 == 0);
        var late = new FreeSpan(from + half, from + half + _length, middle, int.MaxValue, Calibrations: turn % 2 == 1);
        var lateWork = Task.Run(() => Part(late, state, turn, cancellationToken), CancellationToken.None);
        var (earlyState, earlyProven) = Part(early, state, turn, cancellationToken);
        var (lateState, lateProven) = lateWork.GetAwaiter().GetResult();

        // Both may have given a kit to the same request; then the early one stands, and the late one comes again.
        if (!_board.TryTake(Together(state, earlyState, lateState)))
        {
            _board.TryTake(earlyState);
            _board.TryTake(lateState);
        }

        Adapt(earlyProven && lateProven, earlyProven || lateProven);
    }

    private void Solve(FreeSpan span, PlanState state, int turn, CancellationToken cancellationToken)
    {
        var (better, proven) = Part(span, state, turn, cancellationToken);
        _board.TryTake(better);
        Adapt(proven, proven);
    }

    private (PlanState State, bool Proven) Part(FreeSpan span, PlanState state, int turn, CancellationToken cancellationToken)
    {
        // One worker and a limit in work instead of time, so that a part comes to the same however busy the machine is.
        var parameters = string.Create(
            CultureInfo.InvariantCulture,
            $"num_workers:1,max_deterministic_time:{_work},linearization_level:2,cp_model_probing_level:0,symmetry_level:0,random_seed:{(_settings.Seed + turn) & int.MaxValue}");
        return new PlanPart(_board.Index, state, span, _uncovered).Best(parameters, null, cancellationToken);
    }

    private static PlanState Together(PlanState before, PlanState early, PlanState late) => new(
        [.. before.Chosen.Select((place, request) => early.Chosen[request] != place ? early.Chosen[request] : late.Chosen[request])],
        [.. before.Calibrations.Select((starts, kit) => early.Calibrations[kit].SequenceEqual(starts) ? late.Calibrations[kit] : early.Calibrations[kit])]);

    private void Adapt(bool bothProven, bool oneProven)
    {
        if (bothProven)
        {
            _length++;
        }
        else if (!oneProven)
        {
            _length = Math.Max(ShortestDays, _length - 3);
        }
    }
}
