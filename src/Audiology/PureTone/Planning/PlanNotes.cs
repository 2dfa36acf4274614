namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What a finished plan lacks, so that nothing missing is missing silently.</summary>
internal static class PlanNotes
{
    public static IReadOnlyList<PlanNote> Of(PlanRun run)
    {
        var notes = new List<PlanNote>(NotPlayable(run));
        foreach (var ear in new[] { run.FirstEar, run.SecondEar })
        {
            foreach (var part in Parts(run, ear))
            {
                notes.AddRange(Unmasked(run, part));
            }

            foreach (var judged in run.Protocol.BoneRoute is { } bone ? new[] { ConductionRoute.Air, bone } : [ConductionRoute.Air])
            {
                notes.AddRange(MaskedPlan.Notes(run, ear, judged));
            }
        }

        return notes;
    }

    /// <summary>What is left out because the kit cannot play it, by part.</summary>
    public static IEnumerable<PlanNote> NotPlayable(PlanRun run) =>
        from ear in new[] { run.FirstEar, run.SecondEar }
        from part in Parts(run, ear)
        where !run.Skipped(part)
        let missing = UnmaskedPlan.AskedFor(run, part).Where(hertz => !run.Context.CanPlay(part, hertz)).ToList()
        where missing.Count > 0
        select part.Route != ConductionRoute.Air && !run.Context.CanPlayAny(part.Route)
            ? new PlanNote(part, null, $"{In(part)} is left out: this kit has no bone vibrator with a calibration.")
            : new PlanNote(part, missing is [var only] ? only : null, $"{In(part)}: {string.Join(", ", missing)} Hz left out, because this kit is not calibrated there.");

    private static IEnumerable<PlanPart> Parts(PlanRun run, Ear ear)
    {
        yield return new PlanPart(ear, ConductionRoute.Air, Masked: false);
        if (run.Protocol.BoneRoute is { } route && (route == ConductionRoute.BoneMastoid || ear == run.FirstEar))
        {
            yield return new PlanPart(ear, route, Masked: false);
        }
    }

    private static string In(PlanPart part) => $"The {part}";

    private static IEnumerable<PlanNote> Unmasked(PlanRun run, PlanPart part)
    {
        if (run.Skipped(part))
        {
            yield return new PlanNote(part, null, "The operator left this part out.");
            yield break;
        }

        var log = run.Log(part);
        if (log.GivenUp)
        {
            yield return new PlanNote(part, null, "Given up: no threshold was established at three frequencies in a row, each tried twice.");
        }

        foreach (var hertz in UnmaskedPlan.AskedFor(run, part).Concat(log.Frequencies).Distinct())
        {
            if (log.Results(hertz).Count > 0 || !run.Context.CanPlay(part, hertz))
            {
                continue;
            }

            yield return new PlanNote(part, hertz, run.Skipped(part, hertz)
                ? $"The operator left {hertz} Hz out."
                : log.At(hertz) is [.., { Outcome: ThresholdOutcome.NotEstablished { Reason: var reason } }]
                    ? $"No threshold at {hertz} Hz: {reason}"
                    : $"{hertz} Hz was not measured.");
        }
    }
}
