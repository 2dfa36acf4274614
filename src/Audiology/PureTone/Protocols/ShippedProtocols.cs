namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>The protocols that come with the tool. A clinic copies and changes them; these stay as they are.</summary>
public static class ShippedProtocols
{
    // Order of ASHA 2005 (from memory), with the repeat of 1000 Hz at the end of the ear (ISO 8253-1:2010, 6.2.3).
    private static readonly int[] _air = [1000, 2000, 3000, 4000, 6000, 8000, 500, 250];

    // Octaves from 250 to 4000 Hz and 3000 Hz (ASHA 2005).
    private static readonly int[] _bone = [1000, 2000, 3000, 4000, 500, 250];

    /// <summary>Air conduction of both ears, masked where needed.</summary>
    public static TestProtocol Standard { get; } = new("standard", 1, "Standard", _air)
    {
        Retest = RetestScope.BothEars,
        LowExtension = true,
        MaskingRules = UsualMasking,
    };

    /// <summary>Five frequencies by the short form of ISO 8253-1:2010.</summary>
    public static TestProtocol Short { get; } = new("short", 1, "Short", [1000, 2000, 4000, 8000, 500])
    {
        Rule = StoppingRule.TwoOfThreeAscents,
        MaskingRules = UsualMasking,
    };

    /// <summary>Air and bone conduction, masked, by the full form of ISO 8253-1:2010.</summary>
    public static TestProtocol DiagnosticWithBone { get; } = Standard with
    {
        Id = "diagnostic-with-bone",
        Name = "Diagnostic with bone conduction",
        Rule = StoppingRule.ThreeOfFive,
        Bone = BonePlacement.Mastoid,
        BoneHz = _bone,
    };

    /// <summary>The standard test and six frequencies from 9 to 16 kHz.</summary>
    public static TestProtocol ExtendedHigh { get; } = Standard with
    {
        Id = "extended-high",
        Name = "Extended high frequencies",
        ExtendedHighHz = [9000, 10_000, 11_200, 12_500, 14_000, 16_000],
    };

    /// <summary>For a person who tires: four frequencies, the short form, fewer silences, no repeats. What it leaves out is what the judgement of the ear then lacks.</summary>
    public static TestProtocol FrailPerson { get; } = new("frail-person", 1, "Frail person", [1000, 2000, 4000, 500])
    {
        Rule = StoppingRule.TwoOfThreeAscents,
        Retest = RetestScope.None,
        RetestFurther = false,
        InterOctaves = false,
        MaskingRules = UsualMasking,
        CatchRate = 0.1,
        FalseResponseLimit = 2,
        MaximumPresentations = 30,
    };

    /// <summary>The estimate of six octaves in each ear, with its intervals: a first look, or all that a short visit allows. What it finds is marked as an estimate.</summary>
    public static TestProtocol QuickLook { get; } = new("quick-look", 1, "Quick look", [1000, 2000, 4000, 8000, 500, 250])
    {
        Method = ThresholdMethod.Estimate,
        Retest = RetestScope.None,
        RetestFurther = false,
        InterOctaves = false,
    };

    /// <summary>All of them.</summary>
    public static IReadOnlyList<TestProtocol> All { get; } = [Standard, Short, DiagnosticWithBone, ExtendedHigh, FrailPerson, QuickLook];

    private const string UsualMasking = "attenuation-and-gap-from-ten";
}
