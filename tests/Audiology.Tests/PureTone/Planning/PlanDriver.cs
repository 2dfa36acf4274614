using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.Tests.PureTone.Planning;

/// <summary>Carries a plan out with a made-up person.</summary>
internal sealed class PlanDriver(TestProtocol protocol)
{
    public PlanContext Context { get; set; } = new(TransducerKind.SupraAural);

    public List<Measurement> Done { get; } = [];

    public List<PlanStep> Steps { get; } = [];

    /// <summary>What was worn at each measurement of <see cref="Done"/>: a record keeps it beside the measurements.</summary>
    public List<PlanContext> Worn { get; } = [];

    public PlanStep Next => AudiogramPlanner.Next(protocol, Done, Context);

    /// <summary>Frequencies measured, e.g. "R1000 R2000" with "m" after masked and "b" after bone ones.</summary>
    public string Written => string.Join(' ', Steps.OfType<PlanStep.Measure>().Select(step =>
        $"{(step.Part.Ear == Ear.Right ? 'R' : 'L')}{step.FrequencyHz}{(step.Part.Route == ConductionRoute.Air ? "" : "b")}{(step.Part.Masked ? "m" : "")}"));

    /// <summary>Goes on to the end, or to a block.</summary>
    public PlanStep Run(Func<PlanStep.Measure, ThresholdOutcome> person, int most = 400)
    {
        for (var i = 0; i < most; i++)
        {
            var step = Next;
            Steps.Add(step);
            switch (step)
            {
                case PlanStep.Measure measure:
                    Add(measure, person(measure));
                    break;
                case PlanStep.ChangeTransducer change:
                    Context = Context with
                    {
                        Fitted = change.Part.Route,
                        VibratorSide = change.Part.Route == ConductionRoute.Air ? null : change.Part.Ear,
                        Earphones = change.Reason.Contains("above 8000", StringComparison.Ordinal) ? TransducerKind.HighFrequencyInsert : TransducerKind.SupraAural,
                    };
                    break;
                default:
                    return step;
            }
        }

        throw new InvalidOperationException($"The plan does not end: {Written}");
    }

    /// <summary>A plan broken off after some measurements and taken up from the record: what was measured, and what was worn then.</summary>
    public static PlanDriver TakenUp(TestProtocol protocol, PlanDriver whole, int after)
    {
        var broken = new PlanDriver(protocol);
        broken.Done.AddRange(whole.Done.Take(after));
        broken.Worn.AddRange(whole.Worn.Take(after));
        broken.Context = broken.Worn.LastOrDefault() ?? broken.Context;
        return broken;
    }

    public void Add(PlanStep.Measure step, ThresholdOutcome outcome)
    {
        Worn.Add(Context);
        Done.Add(Measured(step, outcome));
    }

    private Measurement Measured(PlanStep.Measure step, ThresholdOutcome outcome) => new(step.Part.Ear, step.Part.Route, step.FrequencyHz, outcome)
    {
        Method = step.Purpose == MeasurePurpose.QuickLook ? ThresholdMethod.Estimate : ThresholdMethod.Ascending,
        TransducerKind = step.Part.Route == ConductionRoute.Air ? Context.Earphones : null,
        Masking = step.Part.Masked
            ? new MaskingEvidence(20, 5, [], outcome is ThresholdOutcome.NotEstablished ? MaskingVerdict.Dilemma : MaskingVerdict.Plateau, "Made up.")
            : null,
    };

    public static ThresholdOutcome At(double levelDbHl) => new ThresholdOutcome.Established(levelDbHl);
}
