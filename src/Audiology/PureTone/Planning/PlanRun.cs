using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>Everything one look at a plan needs: protocol, context, and the measurements that count.</summary>
internal sealed class PlanRun
{
    private const int FirstExtendedHighHz = 9000;

    public PlanRun(TestProtocol protocol, IReadOnlyList<Measurement> done, PlanContext context)
    {
        (Protocol, All, Context) = (protocol, done, context);
        Counting = context.Counting(done);
        FirstEar = protocol.EarOrder switch
        {
            EarOrder.LeftFirst => Ear.Left,
            EarOrder.RightFirst => Ear.Right,
            _ => context.BetterEar ?? Ear.Right,
        };
    }

    public TestProtocol Protocol { get; }

    public PlanContext Context { get; }

    /// <summary>Everything measured.</summary>
    public IReadOnlyList<Measurement> All { get; }

    /// <summary>What was measured and counts for the plan.</summary>
    public IReadOnlyList<Measurement> Counting { get; }

    public Ear FirstEar { get; }

    public Ear SecondEar => FirstEar.Other();

    public PartLog Log(PlanPart part) => new(Counting, part, Protocol.Method == ThresholdMethod.Estimate);

    /// <summary>Whether the operator left a part out.</summary>
    public bool Skipped(PlanPart part) => PlanDecisions.LeaveOut(Context.Overrides, part);

    /// <summary>Whether a frequency is left out, by the operator or because the kit cannot play it.</summary>
    public bool Skipped(PlanPart part, int frequencyHz) => !Context.CanPlay(part, frequencyHz) || PlanDecisions.LeaveOut(Context.Overrides, part, frequencyHz);

    /// <summary>Frequencies the operator added to a part.</summary>
    public IEnumerable<int> Added(PlanPart part) => Context.Overrides
        .OfType<PlanOverride.AddFrequency>()
        .Where(add => add.Part == part && AudiometricFrequency.TryFromHertz(add.FrequencyHz, out _))
        .Select(add => add.FrequencyHz)
        .Distinct();

    /// <summary>Makes the step: to measure, or what stands in the way of it.</summary>
    public PlanStep Step(PlanPart part, int frequencyHz, MeasurePurpose purpose, double? startDbHl, string reason) =>
        Obstacle(part, frequencyHz) ?? new PlanStep.Measure(part, frequencyHz, purpose, startDbHl, reason);

    private PlanStep? Obstacle(PlanPart part, int frequencyHz)
    {
        // On the forehead too the gear is one ear's: its earphone gave its place to the vibrator, and the other ear's is there for the masker.
        if (part.Route != Context.Fitted || (part.Route != ConductionRoute.Air && Context.VibratorSide != part.Ear))
        {
            return new PlanStep.ChangeTransducer(part, part.Route switch
            {
                ConductionRoute.Air => $"Take the bone vibrator off and put the earphones on again: next comes the {part}.",
                ConductionRoute.BoneMastoid => $"Put the bone vibrator on the mastoid of the {Side(part.Ear)} ear, which stays open, and the earphone for the masker on the other ear: next comes the {part}.",
                _ => $"Put the bone vibrator on the forehead and the earphone for the masker on the {Side(part.Ear.Other())} ear: next comes the {part}.",
            });
        }

        if (part.Route != ConductionRoute.Air)
        {
            return null;
        }

        if (!Reaches(Context.Earphones, frequencyHz))
        {
            return new PlanStep.ChangeTransducer(part, frequencyHz >= FirstExtendedHighHz
                ? $"Put on earphones with reference thresholds above 8000 Hz, circumaural or high-frequency insert (ISO 389-5): next comes {frequencyHz} Hz at the {part}."
                : $"Put on earphones for 125 to 8000 Hz: next comes {frequencyHz} Hz at the {part}.");
        }

        // Within an ear kinds are never mixed; the extended high frequencies may have a kind of their own.
        var extended = frequencyHz >= FirstExtendedHighHz;
        return Counting.FirstOrDefault(one => one.Ear == part.Ear && one.Route == ConductionRoute.Air && (one.FrequencyHz >= FirstExtendedHighHz) == extended
                && one.TransducerKind is { } kind && kind != Context.Earphones) is { TransducerKind: { } before }
            ? new PlanStep.Blocked(
                part,
                PlanBlockCodes.TransducerChanged,
                $"The {Side(part.Ear)} ear was begun with {Named(before)} and now {Named(Context.Earphones)} are in use. Thresholds of two kinds are never mixed in one ear. "
                + $"What was measured is kept. Put the {Named(before)} on again and finish the ear, or begin the ear again.")
            : null;
    }

    private static bool Reaches(TransducerKind kind, int frequencyHz) => kind switch
    {
        TransducerKind.HighFrequencyInsert => frequencyHz >= FirstExtendedHighHz,
        TransducerKind.Circumaural => true,
        _ => frequencyHz < FirstExtendedHighHz,
    };

    public static string Side(Ear ear) => ear == Ear.Right ? "right" : "left";

    private static string Named(TransducerKind kind) => kind switch
    {
        TransducerKind.SupraAural => "supra-aural earphones",
        TransducerKind.Insert => "insert earphones",
        TransducerKind.Circumaural => "circumaural earphones",
        _ => "high-frequency insert earphones",
    };
}
