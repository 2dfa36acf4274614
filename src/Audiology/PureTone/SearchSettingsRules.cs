namespace TeleHearing.Audiology.PureTone;

/// <summary>Ranges of <see cref="SearchSettings"/>.</summary>
internal static class SearchSettingsRules
{
    /// <summary>A rise no search makes at once, dB: the kit's ceilings would refuse it.</summary>
    private const double LargestRiseDb = 20;

    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range.</exception>
    public static void ThrowIfUnusable(SearchSettings settings)
    {
        Require(settings.MinimumDbHl >= HearingLevels.LowestPresentedDbHl, settings.MinimumDbHl, nameof(settings.MinimumDbHl));
        Require(double.IsFinite(settings.MaximumDbHl), settings.MaximumDbHl, nameof(settings.MaximumDbHl));
        Require(
            HearingLevels.RoundDownToStep(settings.MaximumDbHl) >= HearingLevels.RoundUpToStep(settings.MinimumDbHl),
            settings.MaximumDbHl,
            nameof(settings.MaximumDbHl));
        Require(settings.RoomBoundDbHl is null || double.IsFinite(settings.RoomBoundDbHl.Value), settings.RoomBoundDbHl, nameof(settings.RoomBoundDbHl));
        Require(OnStep(settings.FamiliarisationStartDbHl), settings.FamiliarisationStartDbHl, nameof(settings.FamiliarisationStartDbHl));
        Require(
            OnStep(settings.FamiliarisationSecondDbHl) && settings.FamiliarisationSecondDbHl is <= 50 && settings.FamiliarisationSecondDbHl >= settings.FamiliarisationStartDbHl,
            settings.FamiliarisationSecondDbHl,
            nameof(settings.FamiliarisationSecondDbHl));
        RequireStep(settings.FamiliarisationStepDb, nameof(settings.FamiliarisationStepDb));
        RequireStep(settings.DownDb, nameof(settings.DownDb));
        RequireStep(settings.UpDb, nameof(settings.UpDb));
        RequireStep(settings.NewSeriesRiseDb, nameof(settings.NewSeriesRiseDb));
        Require(settings.CatchRate is >= 0 and <= 0.5, settings.CatchRate, nameof(settings.CatchRate));
        Require(settings.FalseResponseLimit >= 1, settings.FalseResponseLimit, nameof(settings.FalseResponseLimit));
        Require(settings.NoiseVoidLimit >= 1, settings.NoiseVoidLimit, nameof(settings.NoiseVoidLimit));
        Require(settings.MaximumPresentations >= 1, settings.MaximumPresentations, nameof(settings.MaximumPresentations));
        Require(settings.MaximumVoids >= 1, settings.MaximumVoids, nameof(settings.MaximumVoids));
    }

    private static void RequireStep(double stepDb, string name) => Require(OnStep(stepDb) && stepDb is > 0 and <= LargestRiseDb, stepDb, name);

    private static bool OnStep(double decibels) => double.IsFinite(decibels) && decibels % HearingLevels.StepDb == 0;

    private static void Require(bool holds, object? value, string name)
    {
        if (!holds)
        {
            throw new ArgumentOutOfRangeException(name, value, "The search setting is outside its range.");
        }
    }
}
