namespace TeleHearing.Audiology.PureTone;

/// <summary>Ranges of <see cref="SearchSettings"/>.</summary>
internal static class SearchSettingsRules
{
    /// <summary>A rise no search makes at once, dB: the kit's ceilings would refuse it.</summary>
    private const double LargestRiseDb = 20;

    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range.</exception>
    public static void ThrowIfUnusable(SearchSettings settings)
    {
        Require(settings.StepDb is 1 or 2 or 5, settings.StepDb, nameof(settings.StepDb));
        Require(settings.MinimumDbHl >= HearingLevels.LowestPresentedDbHl, settings.MinimumDbHl, nameof(settings.MinimumDbHl));
        Require(double.IsFinite(settings.MaximumDbHl), settings.MaximumDbHl, nameof(settings.MaximumDbHl));
        Require(
            HearingLevels.RoundDownToStep(settings.MaximumDbHl, settings.StepDb) >= HearingLevels.RoundUpToStep(settings.MinimumDbHl, settings.StepDb),
            settings.MaximumDbHl,
            nameof(settings.MaximumDbHl));
        Require(settings.RoomBoundDbHl is null || double.IsFinite(settings.RoomBoundDbHl.Value), settings.RoomBoundDbHl, nameof(settings.RoomBoundDbHl));
        Require(OnStep(settings.FamiliarisationStartDbHl, settings), settings.FamiliarisationStartDbHl, nameof(settings.FamiliarisationStartDbHl));
        Require(
            OnStep(settings.FamiliarisationSecondDbHl, settings) && settings.FamiliarisationSecondDbHl is <= 50 && settings.FamiliarisationSecondDbHl >= settings.FamiliarisationStartDbHl,
            settings.FamiliarisationSecondDbHl,
            nameof(settings.FamiliarisationSecondDbHl));
        RequireStep(settings.FamiliarisationStepDb, settings, nameof(settings.FamiliarisationStepDb));
        RequireStep(settings.DownDb, settings, nameof(settings.DownDb));
        RequireStep(settings.UpDb, settings, nameof(settings.UpDb));
        RequireStep(settings.NewSeriesRiseDb, settings, nameof(settings.NewSeriesRiseDb));
        Require(settings.StartDbHl is null || double.IsFinite(settings.StartDbHl.Value), settings.StartDbHl, nameof(settings.StartDbHl));
        Require(settings.CatchRateAfterFalseResponse is >= 0 and <= 0.5, settings.CatchRateAfterFalseResponse, nameof(settings.CatchRateAfterFalseResponse));
        Require(settings.RestartsAfterInstruction is >= 0 and <= 2, settings.RestartsAfterInstruction, nameof(settings.RestartsAfterInstruction));
        Require(settings.CatchRate is >= 0 and <= 0.5, settings.CatchRate, nameof(settings.CatchRate));
        Require(settings.FalseResponseLimit >= 1, settings.FalseResponseLimit, nameof(settings.FalseResponseLimit));
        Require(settings.NoiseVoidLimit >= 1, settings.NoiseVoidLimit, nameof(settings.NoiseVoidLimit));
        Require(settings.MaximumPresentations >= 1, settings.MaximumPresentations, nameof(settings.MaximumPresentations));
        Require(settings.MaximumVoids >= 1, settings.MaximumVoids, nameof(settings.MaximumVoids));
    }

    private static void RequireStep(double stepDb, SearchSettings settings, string name) =>
        Require(OnStep(stepDb, settings) && stepDb is > 0 and <= LargestRiseDb, stepDb, name);

    private static bool OnStep(double decibels, SearchSettings settings) => double.IsFinite(decibels) && decibels % settings.StepDb == 0;

    private static void Require(bool holds, object? value, string name)
    {
        if (!holds)
        {
            throw new ArgumentOutOfRangeException(name, value, "The search setting is outside its range.");
        }
    }
}
