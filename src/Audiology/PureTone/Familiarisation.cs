namespace TeleHearing.Audiology.PureTone;

/// <summary>The levels by which a person gets to know the tone: 30, 50 and on by 10 dB HL until the first response (ASHA 2005, second hand and from memory), or from a level that is expected to be heard.</summary>
internal static class Familiarisation
{
    /// <summary>First level, dB HL.</summary>
    /// <param name="settings">Settings of the search.</param>
    /// <param name="floorDbHl">Lowest level allowed.</param>
    /// <param name="maximumDbHl">Highest level allowed.</param>
    public static double FirstDbHl(SearchSettings settings, double floorDbHl, double maximumDbHl)
    {
        // No search starts loud, whatever is expected: the kit's ceilings let a first presentation go no higher either.
        var wished = settings.StartDbHl is { } start
            ? Math.Min(HearingLevels.RoundToStep(start, settings.StepDb), settings.FamiliarisationSecondDbHl)
            : settings.FamiliarisationStartDbHl;
        return Math.Min(Math.Max(wished, floorDbHl), maximumDbHl);
    }

    /// <summary>Next level after a miss, dB HL; may lie above what is allowed.</summary>
    public static double AfterMissDbHl(SearchSettings settings, double levelDbHl) =>
        levelDbHl < settings.FamiliarisationStartDbHl ? settings.FamiliarisationStartDbHl
        : levelDbHl < settings.FamiliarisationSecondDbHl ? settings.FamiliarisationSecondDbHl
        : levelDbHl + settings.FamiliarisationStepDb;
}
