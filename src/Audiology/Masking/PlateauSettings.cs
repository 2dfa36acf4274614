using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>How one threshold is measured with a masker in the other ear. Levels in dB HL and dB of effective masking.</summary>
/// <param name="Route">Route of the tone.</param>
/// <param name="UnmaskedDbHl">Threshold of the ear under test found without a masker.</param>
/// <param name="OtherAirDbHl">Threshold by air of the other ear, from which the first level of the masker is counted.</param>
/// <param name="AttenuationDb">Least interaural attenuation of the masker, dB (<see cref="AttenuationTable"/>).</param>
/// <param name="Search">Limits of the tone, stopping rule of the threshold that ends the measurement, silent trials. Steps are the published ones.</param>
public sealed record PlateauSettings(ConductionRoute Route, double UnmaskedDbHl, double OtherAirDbHl, double AttenuationDb, SearchSettings Search)
{
    /// <summary>Occlusion effect of the other ear, dB; 0 for tones by air.</summary>
    public double OcclusionDb { get; init; }

    /// <summary>Best that the bone threshold of the ear under test can be; absent when bone conduction was not measured.</summary>
    public double? BestBoneDbHl { get; init; }

    /// <summary>
    /// Whether the other ear's threshold by air is its own. It is not when the ear under test may have answered for it: the masker may then lie below that ear's
    /// true threshold and do nothing.
    /// </summary>
    public bool OtherAirIsCertain { get; init; } = true;

    /// <summary>Step of the masker in dB: 5 or 10.</summary>
    public double StepDb { get; init; } = 5;

    /// <summary>Rise of the masker over which the threshold must stand still, dB (Hood 1960; 15 dB is common).</summary>
    public double RiseDb { get; init; } = 15;

    /// <summary>Level of the masker above which an operator must decide.</summary>
    public double OperatorLimitDbEm { get; init; } = MaskingLevels.OperatorLimitDbEm;

    /// <summary>Highest level of the masker that the gear is calibrated for.</summary>
    public double MaskerMaximumDbEm { get; init; } = 100;

    /// <summary>Responses to silence after which the task is explained again, as <see cref="SearchSettings.FalseResponseLimit"/> for a search of this length. A design choice.</summary>
    public int FalseResponseLimit { get; init; } = 6;

    /// <summary>Tones that count, after which the measurement ends without a threshold. A design choice: it takes 15 to 60.</summary>
    public int MaximumPresentations { get; init; } = 160;

    /// <summary>Whether the tone goes by bone.</summary>
    public bool ByBone => Route != ConductionRoute.Air;

    /// <summary>Highest level of the masker allowed, dB EM.</summary>
    public double MaskerLimitDbEm => Math.Min(OperatorLimitDbEm, MaskerMaximumDbEm);

    /// <summary>Level above which the masker might reach the ear under test, dB EM; absent when bone conduction was not measured.</summary>
    public double? OverMaskingFromDbEm => BestBoneDbHl is { } bone ? MaskingLevels.MaximumDbEm(bone, AttenuationDb) : null;

    /// <summary>First level of the masker, dB EM.</summary>
    /// <remarks>
    /// 10 dB above the other ear's threshold (and the occlusion effect). Where the room below the over-masking bound may not suffice for a plateau, at that threshold
    /// itself, the lowest level that masks at all: a narrow plateau would be missed otherwise.
    /// </remarks>
    public double InitialDbEm
    {
        get
        {
            var usual = ByBone ? MaskingLevels.BoneInitialDbEm(OtherAirDbHl, OcclusionDb) : MaskingLevels.AirInitialDbEm(OtherAirDbHl);
            var narrow = OverMaskingFromDbEm is { } bound && usual + RiseDb > bound;
            return HearingLevels.RoundUpToStep(narrow ? usual - MaskingLevels.SafetyPadDb : usual);
        }
    }

    /// <summary>Everything that is wrong with the settings, one sentence each; empty when they can be used.</summary>
    public IReadOnlyList<string> Faults()
    {
        var faults = new List<string>();
        Require(faults, double.IsFinite(UnmaskedDbHl), "The unmasked threshold is not a number.");
        Require(faults, double.IsFinite(OtherAirDbHl), "The other ear's threshold by air is not a number.");
        Require(faults, AttenuationDb is >= 0 and <= 100, "The interaural attenuation must lie from 0 to 100 dB.");
        Require(faults, OcclusionDb is >= 0 and <= 40, "The occlusion effect must lie from 0 to 40 dB.");
        Require(faults, BestBoneDbHl is null || double.IsFinite(BestBoneDbHl.Value), "The bone threshold is not a number.");
        Require(faults, StepDb is 5 or 10, "The step of the masker must be 5 or 10 dB.");
        Require(faults, RiseDb is >= 10 and <= 30, "The rise of the masker over which the threshold must stand must lie from 10 to 30 dB.");
        Require(faults, Search.StepDb == HearingLevels.StepDb, "A masked threshold is measured in steps of 5 dB.");
        Require(faults, double.IsFinite(OperatorLimitDbEm) && double.IsFinite(MaskerMaximumDbEm), "The limit of the masker is not a number.");
        Require(faults, FalseResponseLimit >= 1 && MaximumPresentations >= 1, "The limits on trials must be at least 1.");
        return faults;
    }

    private static void Require(List<string> faults, bool holds, string sentence)
    {
        if (!holds)
        {
            faults.Add(sentence);
        }
    }
}
