namespace TeleHearing.Audiology.PureTone.Planning;

/// <summary>What the operator's decisions leave out. Of two about the same the later counts: what was left out is measured when it is added, repeated or taken up after that.</summary>
public static class PlanDecisions
{
    /// <summary>Whether a part is left out.</summary>
    public static bool LeaveOut(IReadOnlyList<PlanOverride> changes, PlanPart part) => LastAbout(changes, part).Change is PlanOverride.SkipPart;

    /// <summary>Whether a frequency of a part is left out, by itself or with the part.</summary>
    public static bool LeaveOut(IReadOnlyList<PlanOverride> changes, PlanPart part, int frequencyHz) =>
        LastAbout(changes, part, frequencyHz).Change is PlanOverride.SkipFrequency or PlanOverride.SkipPart;

    /// <summary>What stands left out, in the order in which it was: parts, and frequencies that were left out by themselves.</summary>
    /// <returns>Part, and frequency in Hz; absent for a whole part.</returns>
    public static IReadOnlyList<(PlanPart Part, int? FrequencyHz)> LeftOut(IReadOnlyList<PlanOverride> changes)
    {
        var parts = changes.OfType<PlanOverride.SkipPart>().Select(skip => skip.Part).Distinct()
            .Select(part => (Last: LastAbout(changes, part), Part: part, FrequencyHz: (int?)null))
            .Where(one => one.Last.Change is PlanOverride.SkipPart);
        var frequencies = changes.OfType<PlanOverride.SkipFrequency>().Distinct()
            .Select(skip => (Last: LastAbout(changes, skip.Part, skip.FrequencyHz), skip.Part, FrequencyHz: (int?)skip.FrequencyHz))
            .Where(one => one.Last.Change is PlanOverride.SkipFrequency);
        return [.. parts.Concat(frequencies).OrderBy(one => one.Last.Index).Select(one => (one.Part, one.FrequencyHz))];
    }

    private static (int Index, PlanOverride? Change) LastAbout(IReadOnlyList<PlanOverride> changes, PlanPart part) => Last(changes, change =>
        change is PlanOverride.SkipPart skip ? skip.Part == part : change is PlanOverride.TakeUp { FrequencyHz: null } taken && taken.Part == part);

    private static (int Index, PlanOverride? Change) LastAbout(IReadOnlyList<PlanOverride> changes, PlanPart part, int frequencyHz) => Last(changes, change => change switch
    {
        PlanOverride.SkipPart skip => skip.Part == part,
        PlanOverride.TakeUp taken => taken.Part == part && (taken.FrequencyHz is null || taken.FrequencyHz == frequencyHz),
        PlanOverride.SkipFrequency skip => skip.Part == part && skip.FrequencyHz == frequencyHz,
        PlanOverride.AddFrequency add => add.Part == part && add.FrequencyHz == frequencyHz,
        PlanOverride.Repeat repeat => repeat.Part == part && repeat.FrequencyHz == frequencyHz,
        _ => false,
    });

    private static (int Index, PlanOverride? Change) Last(IReadOnlyList<PlanOverride> changes, Func<PlanOverride, bool> about)
    {
        for (var index = changes.Count - 1; index >= 0; index--)
        {
            if (about(changes[index]))
            {
                return (index, changes[index]);
            }
        }

        return (-1, null);
    }
}
