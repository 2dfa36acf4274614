namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What a finished plan lacks, so that nothing missing is missing silently.</summary>
internal static class PlanNotes
{
    public static IReadOnlyList<PlanNote> Of(PlanRun run)
    {
        var notes = new List<PlanNote>();
        foreach (var ear in new[] { run.FirstEar, run.SecondEar })
        {
            notes.AddRange(Unmasked(run, new PlanPart(ear, ConductionRoute.Air, Masked: false), [.. run.Protocol.AirHz, .. run.Protocol.ExtendedHighHz]));
            if (run.Protocol.BoneRoute is { } route && (route == ConductionRoute.BoneMastoid || ear == run.FirstEar))
            {
                notes.AddRange(Unmasked(run, new PlanPart(ear, route, Masked: false), run.Protocol.BoneHz));
            }

            foreach (var judged in run.Protocol.BoneRoute is { } bone ? new[] { ConductionRoute.Air, bone } : [ConductionRoute.Air])
            {
                notes.AddRange(MaskedPlan.Notes(run, ear, judged));
            }
        }

        return notes;
    }

    private static IEnumerable<PlanNote> Unmasked(PlanRun run, PlanPart part, IReadOnlyList<int> planned)
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

        foreach (var hertz in planned.Concat(log.Frequencies).Distinct())
        {
            if (log.Results(hertz).Count > 0)
            {
                continue;
            }

            yield return new PlanNote(part, hertz, !run.Context.CanPlay(part, hertz)
                ? $"{hertz} Hz cannot be played with this gear."
                : run.Skipped(part, hertz)
                    ? $"The operator left {hertz} Hz out."
                    : log.At(hertz) is [.., { Outcome: ThresholdOutcome.NotEstablished { Reason: var reason } }]
                        ? $"No threshold at {hertz} Hz: {reason}"
                        : $"{hertz} Hz was not measured.");
        }
    }
}
