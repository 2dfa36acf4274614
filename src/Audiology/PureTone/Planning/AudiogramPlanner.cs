using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>Says what comes next in a whole audiogram, from the protocol and what is measured already.</summary>
/// <remarks>
/// <para>It remembers nothing: asked with the same measurements it gives the same step, so that a test goes on anywhere after a break, on another day, or after the operator measured something
/// by hand. The order is air of both ears; masked air, as far as air alone shows the need; bone of each ear with its masked part; masked air once more, now that bone is known; extended high frequencies.</para>
/// <para>Every plan ends: a frequency is tried twice at most, repeated once, a part is given up when three frequencies in a row came to nothing, and a threshold is never made up for one that was not found.</para>
/// </remarks>
public static class AudiogramPlanner
{
    /// <summary>The next step.</summary>
    /// <param name="protocol">Protocol, free of contradictions (<see cref="ProtocolRules"/>).</param>
    /// <param name="done">Everything measured so far, in order.</param>
    /// <param name="context">Transducers, and what the operator decided.</param>
    /// <exception cref="ArgumentException">The protocol contradicts itself.</exception>
    public static PlanStep Next(TestProtocol protocol, IReadOnlyList<Measurement> done, PlanContext context)
    {
        ArgumentNullException.ThrowIfNull(protocol);
        ArgumentNullException.ThrowIfNull(done);
        ArgumentNullException.ThrowIfNull(context);
        if (ProtocolRules.Faults(protocol) is [var fault, ..])
        {
            throw new ArgumentException($"The protocol cannot be used: {fault.Sentence}", nameof(protocol));
        }

        if (context.EarsSwapped)
        {
            return new PlanStep.Blocked(
                null,
                PlanBlockCodes.EarsSwapped,
                "The side proof showed left and right exchanged. Nothing is measured until it is passed: put the earphones on the right way round and prove the sides again. What was measured since the last proof that was passed is in doubt.");
        }

        var run = new PlanRun(protocol, done, context);
        return Wanted(run)
            ?? Air(run)
            ?? Bone(run)
            ?? Masked(run)
            ?? UnmaskedPlan.ExtendedHigh(run, run.FirstEar)
            ?? UnmaskedPlan.ExtendedHigh(run, run.SecondEar)
            ?? new PlanStep.Finished(PlanNotes.Of(run));
    }

    /// <summary>What the plan leaves out from the beginning because the kit cannot play it, in sentences by part; a finished plan has them among its notes.</summary>
    /// <param name="protocol">Protocol.</param>
    /// <param name="done">Everything measured so far, in order.</param>
    /// <param name="context">Transducers, and what the operator decided.</param>
    public static IReadOnlyList<PlanNote> NotPlayable(TestProtocol protocol, IReadOnlyList<Measurement> done, PlanContext context)
    {
        ArgumentNullException.ThrowIfNull(protocol);
        ArgumentNullException.ThrowIfNull(done);
        ArgumentNullException.ThrowIfNull(context);
        return [.. PlanNotes.NotPlayable(new PlanRun(protocol, done, context))];
    }

    private static PlanStep? Wanted(PlanRun run)
    {
        foreach (var repeat in run.Context.Overrides.OfType<PlanOverride.Repeat>())
        {
            var isDone = run.All.Skip(repeat.MeasurementsBefore).Any(one =>
                one.Ear == repeat.Part.Ear && one.Route == repeat.Part.Route && one.FrequencyHz == repeat.FrequencyHz && (one.Masking is not null) == repeat.Part.Masked);
            if (!isDone && !run.Skipped(repeat.Part, repeat.FrequencyHz))
            {
                return run.Step(repeat.Part, repeat.FrequencyHz, MeasurePurpose.Repeated, null, $"The operator wants {repeat.FrequencyHz} Hz measured again.");
            }
        }

        return null;
    }

    private static PlanStep? Air(PlanRun run) =>
        UnmaskedPlan.Air(run, run.FirstEar)
        ?? UnmaskedPlan.Air(run, run.SecondEar)
        ?? (BoneHasBegun(run) ? null : Masked(run));

    // Once the vibrator is on, bone is finished before the earphones come back for what its thresholds showed.
    private static bool BoneHasBegun(PlanRun run) => run.Counting.Any(one => one.Route != ConductionRoute.Air);

    private static PlanStep? Masked(PlanRun run) =>
        MaskedPlan.Next(run, run.FirstEar, ConductionRoute.Air) ?? MaskedPlan.Next(run, run.SecondEar, ConductionRoute.Air);

    private static PlanStep? Bone(PlanRun run) => run.Protocol.BoneRoute switch
    {
        null => null,
        ConductionRoute.BoneForehead =>
            UnmaskedPlan.Bone(run, run.FirstEar, ConductionRoute.BoneForehead)
            ?? MaskedPlan.Next(run, run.FirstEar, ConductionRoute.BoneForehead)
            ?? MaskedPlan.Next(run, run.SecondEar, ConductionRoute.BoneForehead),
        { } route => BoneOf(run, FirstByBone(run), route) ?? BoneOf(run, FirstByBone(run).Other(), route),
    };

    // The vibrator is moved no more often than needed: the ear it is on is finished before the other one is begun or taken up again.
    private static Ear FirstByBone(PlanRun run) =>
        run.Context.Fitted is ConductionRoute.BoneMastoid && run.Context.VibratorSide is { } side ? side : run.FirstEar;

    private static PlanStep? BoneOf(PlanRun run, Ear ear, ConductionRoute route) => UnmaskedPlan.Bone(run, ear, route) ?? MaskedPlan.Next(run, ear, route);
}
