using TeleHearing.Audiology.Masking;

namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>Which thresholds must be measured again with a masker in the other ear.</summary>
internal static class MaskedPlan
{
    private const int HighestJudgedHz = 8000;

    /// <summary>The next masked threshold of an ear and route; nothing when none is owed.</summary>
    public static PlanStep? Next(PlanRun run, Ear ear, ConductionRoute route)
    {
        var part = new PlanPart(ear, route, Masked: true);
        if (Rules(run) is not { } rules || run.Log(part).GivenUp)
        {
            return null;
        }

        var unmasked = run.Log(part with { Masked = false });
        var candidates = Candidates(run, part).ToList();
        foreach (var hertz in candidates)
        {
            // All that is measured without a masker comes before the masker.
            if (!run.Skipped(part, hertz) && MaskingNeeds.Judge(rules, run.Context.Earphones, run.Counting, ear, route, hertz).OtherEarFirst && OtherEar(run, part, hertz) is { } first)
            {
                return first;
            }
        }

        foreach (var hertz in candidates)
        {
            var added = run.Added(part).Contains(hertz);
            if (run.Skipped(part, hertz) || !IsOwed(run, part, hertz))
            {
                continue;
            }

            var need = MaskingNeeds.Judge(rules, run.Context.Earphones, run.Counting, ear, route, hertz);
            if (need.BoneFirst && !added && BoneIsStillToCome(run))
            {
                continue;
            }

            if (need.Needed || added)
            {
                var start = unmasked.Results(hertz) is [.., ThresholdOutcome.Established found] ? found.LevelDbHl : (double?)null;
                return run.Step(part, hertz, added && !need.Needed ? MeasurePurpose.Added : MeasurePurpose.Masked, start, added && !need.Needed ? $"The operator wants {hertz} Hz masked." : need.Reason);
            }
        }

        return null;
    }

    // A frequency that was added to one ear alone cannot be compared.
    private static PlanStep? OtherEar(PlanRun run, PlanPart part, int hertz)
    {
        var other = new PlanPart(part.Ear.Other(), ConductionRoute.Air, Masked: false);
        return UnmaskedPlan.Owed(run, other, run.Log(other), hertz, results: 1, MeasurePurpose.ForComparison, $"The {PlanRun.Side(part.Ear)} ear's threshold at {hertz} Hz may be this ear's; it is measured to compare.");
    }

    // Nothing waits for bone that was left out or cannot be played.
    private static bool BoneIsStillToCome(PlanRun run) => run.Protocol.BoneRoute is { } route
        && !run.Counting.Any(one => one.Route != ConductionRoute.Air)
        && (UnmaskedPlan.Bone(run, run.FirstEar, route) ?? (route == ConductionRoute.BoneMastoid ? UnmaskedPlan.Bone(run, run.SecondEar, route) : null)) is not null;

    /// <summary>Frequencies whose masking cannot be decided for good, or was needed and is not solved, with the reason.</summary>
    public static IEnumerable<PlanNote> Notes(PlanRun run, Ear ear, ConductionRoute route)
    {
        var part = new PlanPart(ear, route, Masked: true);
        if (Rules(run) is not { } rules)
        {
            yield break;
        }

        foreach (var hertz in Candidates(run, part))
        {
            var need = MaskingNeeds.Judge(rules, run.Context.Earphones, run.Counting, ear, route, hertz);
            var masked = run.Counting.LastOrDefault(one => one.Ear == ear && one.Route == route && one.FrequencyHz == hertz && one.Masking is not null);
            if (need.Needed && masked is null)
            {
                yield return new PlanNote(part, hertz, $"Not masked. {need.Reason}");
            }
            else if (masked is { Outcome: ThresholdOutcome.NotEstablished, Masking: { } evidence })
            {
                yield return new PlanNote(part, hertz, evidence.Remedy is { } remedy ? $"{evidence.Reason} {remedy}" : evidence.Reason);
            }
            else if (need.Provisional && masked is null)
            {
                yield return new PlanNote(part, hertz, $"Provisional. {need.Reason}");
            }
        }
    }

    private static MaskingRules? Rules(PlanRun run) => run.Protocol.MaskingRules is { } name ? MaskingRules.ByName(name) : null;

    private static IEnumerable<int> Candidates(PlanRun run, PlanPart part)
    {
        // By the forehead one measurement without a masker stands for both ears.
        var measured = run.Log(part with { Masked = false }).Frequencies;
        if (part.Route == ConductionRoute.BoneForehead)
        {
            measured = measured.Concat(run.Log(part with { Ear = part.Ear.Other(), Masked = false }).Frequencies);
        }

        return measured.Concat(run.Added(part)).Where(hertz => hertz <= HighestJudgedHz).Distinct();
    }

    // A dilemma or a masker at its limit is not solved by trying again, unless bone conduction, which bounds the masker, has become known since.
    private static bool IsOwed(PlanRun run, PlanPart part, int hertz)
    {
        var failed = 0;
        foreach (var one in run.Counting.Where(one => one.FrequencyHz == hertz))
        {
            if (one.Masking is null)
            {
                failed = one.Route == ConductionRoute.Air ? failed : 0;
            }
            else if (one.Ear == part.Ear && one.Route == part.Route)
            {
                if (one.Outcome is not ThresholdOutcome.NotEstablished)
                {
                    return false;
                }

                failed += one.Masking.Verdict == MaskingVerdict.NotSettled ? 1 : PartLog.MostAttempts;
            }
        }

        return failed < PartLog.MostAttempts;
    }
}
