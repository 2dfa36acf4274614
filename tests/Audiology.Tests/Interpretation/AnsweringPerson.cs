using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Interpretation;

/// <summary>A made-up person with one ear, who answers by levels alone, at the pace of the kit: silences of 1.2 to 3 s, 1 to 2 s longer after a press in one.</summary>
internal sealed class AnsweringPerson(int seed)
{
    private const double AnswerSeconds = 2.25;

    private readonly Random _random = new(seed);
    private double _wobbleOfThreshold;

    public double FalseAlarms { get; init; }

    public double Lapses { get; init; }

    public double SlopeSdDb { get; init; } = 2;

    /// <summary>Spread from tone to tone, dB, as in inconsistent answers.</summary>
    public double TrialWobbleDb { get; init; }

    /// <summary>Spread from threshold to threshold, dB.</summary>
    public double ThresholdWobbleDb { get; init; }

    /// <summary>Tests the ear by a protocol and gives everything measured.</summary>
    public IReadOnlyList<Measurement> Test(TestProtocol protocol)
    {
        var done = new List<Measurement>();
        var left = new PlanPart(Ear.Left, ConductionRoute.Air, Masked: false);
        var context = new PlanContext(TransducerKind.SupraAural) { Overrides = [new PlanOverride.SkipPart(left)] };
        var (atOne, perOctave) = (60 * _random.NextDouble() - 5, 12 * _random.NextDouble());
        var truths = AudiometricFrequency.All.ToDictionary(one => one.Hertz, one => atOne + (perOctave * Math.Log2(one.Hertz / 1000.0)) + (4 * Gauss()));
        while (AudiogramPlanner.Next(protocol, done, context) is PlanStep.Measure step)
        {
            done.Add(Measure(step, protocol, truths[step.FrequencyHz]));
        }

        return done;
    }

    private Measurement Measure(PlanStep.Measure step, TestProtocol protocol, double truth)
    {
        _wobbleOfThreshold = ThresholdWobbleDb * Gauss();
        var search = ThresholdProcedures.Begin(protocol.Method, protocol.Settings(100, null, step.StartDbHl), _random);
        var counter = new TrialCounter();
        var pressed = false;
        while (search.Next is not SearchMove.Finished)
        {
            var answer = Answer(search.Next, truth, pressed);
            pressed = answer == TrialAnswer.EarlyPress;
            counter.Add(search.Next, answer);
            search.Record(answer);
        }

        return new Measurement(step.Part.Ear, step.Part.Route, step.FrequencyHz, ((SearchMove.Finished)search.Next).Outcome) { Tally = counter.Tally(0) };
    }

    private TrialAnswer Answer(SearchMove move, double truth, bool pressedBefore)
    {
        var gap = 1.2 + (1.8 * _random.NextDouble()) + (pressedBefore ? 1 + _random.NextDouble() : 0);
        if (_random.NextDouble() > Math.Pow(1 - FalseAlarms, (gap - 1.05) / AnswerSeconds))
        {
            return TrialAnswer.EarlyPress;
        }

        var threshold = truth + _wobbleOfThreshold + (TrialWobbleDb * Gauss());
        var chance = move is SearchMove.PresentTone tone
            ? new PsychometricFunction(threshold, SlopeSdDb, Lapses, FalseAlarms).Probability(tone.Level.Decibels)
            : FalseAlarms;
        return _random.NextDouble() < chance ? TrialAnswer.Heard : TrialAnswer.NotHeard;
    }

    private double Gauss() => Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(Math.Tau * _random.NextDouble());
}
