namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>Ranges of <see cref="EstimateSettings"/>.</summary>
internal static class EstimateSettingsRules
{
    /// <exception cref="ArgumentOutOfRangeException">A setting is outside its range.</exception>
    public static void ThrowIfUnusable(EstimateSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings.Search);
        ArgumentNullException.ThrowIfNull(settings.Prior);
        SearchSettingsRules.ThrowIfUnusable(settings.Search);
        var grid = EstimateGrid.Usual;
        var highest = grid.ThresholdDb(grid.Thresholds - 1) - 10;
        Require(settings.Search.MaximumDbHl <= highest, settings.Search.MaximumDbHl, nameof(settings.Search.MaximumDbHl));
        Require(settings.CredibleShare is > 0 and < 1, settings.CredibleShare, nameof(settings.CredibleShare));
        Require(settings.StopSdDb > 0 && double.IsFinite(settings.StopSdDb), settings.StopSdDb, nameof(settings.StopSdDb));
        Require(settings.LargestSdDb >= settings.StopSdDb && double.IsFinite(settings.LargestSdDb), settings.LargestSdDb, nameof(settings.LargestSdDb));
        Require(settings.MinimumTones >= 1, settings.MinimumTones, nameof(settings.MinimumTones));
        Require(settings.MaximumTones >= settings.MinimumTones, settings.MaximumTones, nameof(settings.MaximumTones));
        Require(settings.PreviousDbHl is null || double.IsFinite(settings.PreviousDbHl.Value), settings.PreviousDbHl, nameof(settings.PreviousDbHl));
        Require(settings.Prior.Parts.Count > 0, settings.Prior.Parts.Count, nameof(settings.Prior));
        foreach (var part in settings.Prior.Parts)
        {
            Require(part.Share >= 0 && double.IsFinite(part.Share) && double.IsFinite(part.MeanDbHl) && part.SdDb > 0 && double.IsFinite(part.SdDb), part, nameof(settings.Prior));
        }

        Require(settings.Prior.Parts.Sum(part => part.Share) > 0, settings.Prior, nameof(settings.Prior));
    }

    private static void Require(bool holds, object? value, string name)
    {
        if (!holds)
        {
            throw new ArgumentOutOfRangeException(name, value, "The setting of the estimate is outside its range.");
        }
    }
}
