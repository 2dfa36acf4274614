namespace TeleHearing.Audiology.Simulation;

/// <summary>Thresholds of two ears at one frequency, and what the head loses between them.</summary>
/// <param name="TestAirDbHl">Threshold by air of the ear under test.</param>
/// <param name="TestBoneDbHl">Threshold by bone of the ear under test.</param>
/// <param name="OtherAirDbHl">Threshold by air of the other ear.</param>
/// <param name="OtherBoneDbHl">Threshold by bone of the other ear.</param>
/// <param name="ToneAttenuationDb">Interaural attenuation of the tone, dB: by air that of the earphone, by bone about 0.</param>
/// <param name="MaskerAttenuationDb">Interaural attenuation of the masker, dB.</param>
/// <param name="OcclusionDb">Occlusion effect of the other ear while it is covered, dB; for tones by bone alone.</param>
public readonly record struct TwoRouteEars(
    double TestAirDbHl,
    double TestBoneDbHl,
    double OtherAirDbHl,
    double OtherBoneDbHl,
    double ToneAttenuationDb,
    double MaskerAttenuationDb,
    double OcclusionDb);

/// <summary>What one route through the head needs, dB HL of the tone.</summary>
/// <param name="TestEarDbHl">For the ear under test to hear it.</param>
/// <param name="OtherEarDbHl">For the other ear to hear it.</param>
public readonly record struct TwoRouteLevels(double TestEarDbHl, double OtherEarDbHl)
{
    /// <summary>The level at which the person responds.</summary>
    public double ResponseDbHl => Math.Min(TestEarDbHl, OtherEarDbHl);

    /// <summary>Whether the other ear answers.</summary>
    public bool IsShadow => OtherEarDbHl < TestEarDbHl;
}

/// <summary>Which level a tone needs to be heard through either ear, with or without a masker in the other.</summary>
/// <remarks>
/// Calculated: a masker raises a cochlea's threshold to its own level there; it reaches the other ear's cochlea less that ear's air-bone gap, and that of the ear under test
/// less the interaural attenuation. No central masking, effective masking exact.
/// </remarks>
public static class TwoRouteModel
{
    /// <summary>A tone by air.</summary>
    /// <param name="ears">Thresholds and attenuations.</param>
    /// <param name="maskerDbEm">Masker in the other ear; negative infinity for none.</param>
    public static TwoRouteLevels Air(in TwoRouteEars ears, double maskerDbEm = double.NegativeInfinity) => new(
        ears.TestAirDbHl - ears.TestBoneDbHl + Math.Max(ears.TestBoneDbHl, maskerDbEm - ears.MaskerAttenuationDb),
        ears.ToneAttenuationDb + OtherCochlea(ears, maskerDbEm));

    /// <summary>A tone by bone.</summary>
    /// <inheritdoc cref="Air"/>
    public static TwoRouteLevels Bone(in TwoRouteEars ears, double maskerDbEm = double.NegativeInfinity) => new(
        Math.Max(ears.TestBoneDbHl, maskerDbEm - ears.MaskerAttenuationDb),
        ears.ToneAttenuationDb + OtherCochlea(ears, maskerDbEm) - ears.OcclusionDb);

    private static double OtherCochlea(in TwoRouteEars ears, double maskerDbEm) =>
        Math.Max(ears.OtherBoneDbHl, maskerDbEm - (ears.OtherAirDbHl - ears.OtherBoneDbHl));
}
