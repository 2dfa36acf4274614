namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What comes next in an unmasked part.</summary>
internal static class UnmaskedPlan
{
    private const int LowExtensionHz = 125;
    private const int LowExtensionSeenAtHz = 250;

    /// <summary>From this level at 250 Hz on a low-frequency loss is seen, dB HL. A choice of this tool: the sources only say "with low-frequency loss".</summary>
    private const double LowFrequencyLossFromDbHl = 25;

    /// <summary>How far above an expected threshold a search begins, dB, so that the first tone is heard.</summary>
    private const double StartAboveDb = 10;

    /// <summary>The next step of an ear by air up to 8000 Hz; nothing when it is done.</summary>
    public static PlanStep? Air(PlanRun run, Ear ear)
    {
        var part = new PlanPart(ear, ConductionRoute.Air, Masked: false);
        var log = run.Log(part);
        return QuickLook(run, part, log)
            ?? (log.GivenUp ? null
                : Each(run, part, log, run.Protocol.AirHz, MeasurePurpose.Planned, hertz => $"{hertz} Hz belongs to the protocol.")
                ?? Each(run, part, log, LowExtension(run, log), MeasurePurpose.LowExtension, _ => $"250 Hz lies at {LowFrequencyLossFromDbHl} dB HL or worse, so 125 Hz is added.")
                ?? Each(run, part, log, InterOctaves(run, log), MeasurePurpose.InterOctave, hertz => $"The octaves around {hertz} Hz differ by {EarProtocol.InterOctaveDifferenceDb} dB or more.")
                ?? Each(run, part, log, run.Added(part).Where(hertz => !IsExtendedHigh(hertz)), MeasurePurpose.Added, hertz => $"The operator added {hertz} Hz.")
                ?? RetestPlan.Next(run, part, log));
    }

    /// <summary>The next step of an ear from 9000 Hz on; nothing when it is done.</summary>
    public static PlanStep? ExtendedHigh(PlanRun run, Ear ear)
    {
        var part = new PlanPart(ear, ConductionRoute.Air, Masked: false);
        var log = run.Log(part);
        return log.GivenUp
            ? null
            : Each(run, part, log, run.Protocol.ExtendedHighHz, MeasurePurpose.ExtendedHigh, hertz => $"{hertz} Hz belongs to the extended high frequencies of the protocol.")
            ?? Each(run, part, log, run.Added(part).Where(IsExtendedHigh), MeasurePurpose.Added, hertz => $"The operator added {hertz} Hz.");
    }

    /// <summary>The next step of an ear by bone; nothing when it is done, or when the ear could not be measured by air.</summary>
    public static PlanStep? Bone(PlanRun run, Ear ear, ConductionRoute route)
    {
        var part = new PlanPart(ear, route, Masked: false);
        var log = run.Log(part);
        return log.GivenUp || run.Log(new PlanPart(ear, ConductionRoute.Air, Masked: false)).GivenUp
            ? null
            : Each(run, part, log, run.Protocol.BoneHz, MeasurePurpose.Planned, hertz => $"{hertz} Hz by bone belongs to the protocol.")
            ?? Each(run, part, log, run.Added(part), MeasurePurpose.Added, hertz => $"The operator added {hertz} Hz.");
    }

    /// <summary>Every frequency that an unmasked part asks for as far as it is measured, whether it can be played or not.</summary>
    public static IEnumerable<int> AskedFor(PlanRun run, PlanPart part)
    {
        var log = run.Log(part);
        IEnumerable<int> planned = part.Route == ConductionRoute.Air
            ? [.. run.Protocol.AirHz, .. LowExtension(run, log), .. InterOctaves(run, log), .. run.Protocol.ExtendedHighHz]
            : run.Protocol.BoneHz;
        var repeated = run.Context.Overrides.OfType<PlanOverride.Repeat>().Where(repeat => repeat.Part == part).Select(repeat => repeat.FrequencyHz);
        return planned.Concat(run.Added(part)).Concat(repeated).Distinct();
    }

    /// <summary>Measures a frequency that needs a number of results, or says that it needs no more.</summary>
    public static PlanStep? Owed(PlanRun run, PlanPart part, PartLog log, int frequencyHz, int results, MeasurePurpose purpose, string reason)
    {
        if (run.Skipped(part, frequencyHz) || log.Settled(frequencyHz, results))
        {
            return null;
        }

        return log.LastFailed(frequencyHz)
            ? run.Step(part, frequencyHz, MeasurePurpose.AfterInstruction, Start(log, frequencyHz), $"No threshold was established at {frequencyHz} Hz. Explain the task again, then once more.")
            : run.Step(part, frequencyHz, purpose, Start(log, frequencyHz), reason);
    }

    private static PlanStep? Each(PlanRun run, PlanPart part, PartLog log, IEnumerable<int> frequenciesHz, MeasurePurpose purpose, Func<int, string> reason)
    {
        foreach (var hertz in frequenciesHz)
        {
            if (Owed(run, part, log, hertz, results: 1, purpose, reason(hertz)) is { } step)
            {
                return step;
            }
        }

        return null;
    }

    // The quick look is taken of all frequencies before any is measured; what comes of it is a start, never a threshold.
    private static PlanStep? QuickLook(PlanRun run, PlanPart part, PartLog log)
    {
        if (!run.Protocol.QuickLookFirst || !log.IsEmpty)
        {
            return null;
        }

        foreach (var hertz in run.Protocol.AirHz)
        {
            if (!log.Estimated(hertz) && !run.Skipped(part, hertz))
            {
                return run.Step(part, hertz, MeasurePurpose.QuickLook, null, "The protocol begins with a quick look at all frequencies.");
            }
        }

        return null;
    }

    private static double? Start(PartLog log, int frequencyHz)
    {
        var expected = log.Results(frequencyHz) is [.., ThresholdOutcome.Established last] ? last.LevelDbHl : log.EstimateDbHl(frequencyHz);
        return expected is { } level ? HearingLevels.RoundUpToStep(level + StartAboveDb) : null;
    }

    private static IEnumerable<int> LowExtension(PlanRun run, PartLog log) =>
        run.Protocol.LowExtension && log.Current().GetValueOrDefault(LowExtensionSeenAtHz) is ThresholdOutcome.Established { LevelDbHl: >= LowFrequencyLossFromDbHl } or ThresholdOutcome.NoResponseAtLimit
            ? [LowExtensionHz]
            : [];

    // What has a result is no longer asked for; what was tried in vain is, as often as any frequency.
    private static IEnumerable<int> InterOctaves(PlanRun run, PartLog log) => run.Protocol.InterOctaves
        ? EarProtocol.InterOctavesToAdd(log.Current()).Select(frequency => frequency.Hertz)
        : [];

    private static bool IsExtendedHigh(int hertz) => hertz > 8000;
}
