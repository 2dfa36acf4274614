namespace TeleHearing.Audiology.Masking;

/// <summary>Levels of the masker by the classical formulas, all in dB of effective masking (Studebaker 1964; Martin; Yacullo; from memory).</summary>
public static class MaskingLevels
{
    /// <summary>Added to the other ear's threshold for the first level, dB.</summary>
    public const double SafetyPadDb = 10;

    /// <summary>Kept below the level that would reach the ear under test, dB.</summary>
    public const double OverMaskingMarginDb = 5;

    /// <summary>Level above which a search stops for an operator's decision, dB EM (common practice: 80 to 85).</summary>
    public const double OperatorLimitDbEm = 85;

    /// <summary>
    /// Level above which hub, kit and console play a masker only after an explicit yes, dB EM: loud noise in an ear that is not even tested (common practice: 80 to 85; at a distance the lower end).
    /// </summary>
    public const double LoudAboveDbEm = 80;

    /// <summary>How much a masker may raise the threshold of the ear under test without reaching it, dB (central masking; from memory).</summary>
    public const double CentralMaskingDb = 5;

    /// <summary>Largest air-bone gap an ear can have, dB: beyond it the skull itself carries the sound to the cochlea (common practice: 60 to 65).</summary>
    public const double LargestAirBoneGapDb = 65;

    /// <summary>First level for a tone by air.</summary>
    /// <param name="otherAirDbHl">Threshold by air of the other ear, dB HL.</param>
    public static double AirInitialDbEm(double otherAirDbHl) => otherAirDbHl + SafetyPadDb;

    /// <summary>First level for a tone by bone.</summary>
    /// <param name="otherAirDbHl">Threshold by air of the other ear, dB HL.</param>
    /// <param name="occlusionDb">Occlusion effect of the other ear, dB.</param>
    public static double BoneInitialDbEm(double otherAirDbHl, double occlusionDb) => otherAirDbHl + occlusionDb + SafetyPadDb;

    /// <summary>Least level that keeps the other ear out, tone by air.</summary>
    /// <param name="testAirDbHl">True threshold by air of the ear under test, dB HL.</param>
    /// <param name="attenuationDb">Interaural attenuation of the tone, dB.</param>
    /// <param name="otherGapDb">Air-bone gap of the other ear, dB; negative counts as 0.</param>
    public static double AirMinimumDbEm(double testAirDbHl, double attenuationDb, double otherGapDb) => testAirDbHl - attenuationDb + Math.Max(0, otherGapDb);

    /// <summary>Least level that keeps the other ear out, tone by bone.</summary>
    /// <param name="testBoneDbHl">True threshold by bone of the ear under test, dB HL.</param>
    /// <param name="otherGapDb">Air-bone gap of the other ear, dB; negative counts as 0.</param>
    /// <param name="occlusionDb">Occlusion effect of the other ear, dB.</param>
    public static double BoneMinimumDbEm(double testBoneDbHl, double otherGapDb, double occlusionDb) =>
        testBoneDbHl + Math.Max(0, otherGapDb) + occlusionDb - AttenuationTable.BoneMinimumDb;

    /// <summary>Highest level that cannot mask the ear under test.</summary>
    /// <param name="testBoneDbHl">Threshold by bone of the ear under test, dB HL.</param>
    /// <param name="maskerAttenuationDb">Interaural attenuation of the masker, dB.</param>
    public static double MaximumDbEm(double testBoneDbHl, double maskerAttenuationDb) => testBoneDbHl + maskerAttenuationDb - OverMaskingMarginDb;

    /// <summary>Whether a masker may have raised the threshold of the ear under test by crossing the head.</summary>
    /// <remarks>
    /// A tone by air that is only just heard over a masker that crossed lies at gap + masker - attenuation; were the gap needed for that larger than an ear can
    /// have, the masker did not do it. By bone there is no gap. When the best bone threshold is known, a crossed masker below it does nothing.
    /// </remarks>
    /// <param name="byBone">Whether the tone goes by bone.</param>
    /// <param name="toneDbHl">Lowest level heard, or the highest not heard, dB HL.</param>
    /// <param name="maskerDbEm">Masker, dB EM.</param>
    /// <param name="attenuationDb">Least interaural attenuation of the masker, dB.</param>
    /// <param name="bestBoneDbHl">Best that the bone threshold of the ear under test can be, dB HL; absent when not known.</param>
    public static bool OverMaskingIsPossible(bool byBone, double toneDbHl, double maskerDbEm, double attenuationDb, double? bestBoneDbHl)
    {
        var crossed = maskerDbEm - attenuationDb;
        var reaches = bestBoneDbHl is not { } bone || maskerDbEm > MaximumDbEm(bone, attenuationDb);
        return reaches && toneDbHl - crossed <= (byBone ? 0 : LargestAirBoneGapDb);
    }
}
