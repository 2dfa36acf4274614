namespace TeleHearing.Audiology.Masking;

/// <summary>How it is decided whether a threshold by air must be masked.</summary>
public enum AirMaskingRule
{
    /// <summary>The tone exceeds the other ear's threshold by bone by the least interaural attenuation or more (ASHA 2005; from memory).</summary>
    InterauralAttenuation,

    /// <summary>Differences between the ears and between air and bone: rules 1 and 3 of the British Society of Audiology 2018, from memory.</summary>
    Difference,
}

/// <summary>How it is decided whether a threshold by bone must be masked.</summary>
public enum BoneMaskingRule
{
    /// <summary>The air-bone gap of the ear is larger than 10 dB, that is 15 dB or more (textbooks of the United States; 15 dB second hand).</summary>
    GapOverTen,

    /// <summary>The air-bone gap of the ear is 10 dB or more (rule 2 of the British Society of Audiology 2018, from memory).</summary>
    GapFromTen,

    /// <summary>Always: a precise threshold of one ear by bone asks for it (ISO 8253-1:2010, 8.1, confirmed).</summary>
    Always,
}

/// <summary>A set of rules that say what must be masked.</summary>
/// <param name="Name">Name under which protocols store it; never changed.</param>
/// <param name="Description">In words, for the choice.</param>
/// <param name="Air">Rule for tones by air.</param>
/// <param name="Bone">Rule for tones by bone.</param>
/// <param name="Attenuation">Least interaural attenuation by earphone.</param>
public sealed record MaskingRules(string Name, string Description, AirMaskingRule Air, BoneMaskingRule Bone, AttenuationTable Attenuation)
{
    /// <summary>The set used unless another is chosen: the one that leaves the fewest responses of the wrong ear in the simulated population (docs/validation/population.md).</summary>
    public static MaskingRules Usual => AttenuationAndGapFromTen;

    /// <summary>Attenuation for air, a gap of more than 10 dB for bone.</summary>
    public static MaskingRules AttenuationAndGap { get; } = new(
        "attenuation-and-gap",
        "Air: 40 dB (insert 55 dB) or more above the other ear's bone threshold. Bone: air-bone gap of 15 dB or more.",
        AirMaskingRule.InterauralAttenuation,
        BoneMaskingRule.GapOverTen,
        AttenuationTable.Usual);

    /// <summary>As <see cref="AttenuationAndGap"/>, with bone masked from a gap of 10 dB on (rule 2 of the British Society of Audiology 2018, from memory).</summary>
    public static MaskingRules AttenuationAndGapFromTen { get; } = AttenuationAndGap with
    {
        Name = "attenuation-and-gap-from-ten",
        Description = "Air: 40 dB (insert 55 dB) or more above the other ear's bone threshold. Bone: air-bone gap of 10 dB or more.",
        Bone = BoneMaskingRule.GapFromTen,
    };

    /// <summary>As <see cref="AttenuationAndGap"/>, with the attenuation of inserts whose depth was verified.</summary>
    public static MaskingRules DeepInsertAndGap { get; } = AttenuationAndGap with
    {
        Name = "deep-insert-and-gap",
        Description = "As attenuation-and-gap; inserts known to sit deep: 75 dB up to 1 kHz, 50 dB above.",
        Attenuation = AttenuationTable.DeepInsert,
    };

    /// <summary>Differences between the ears for air, a gap of 10 dB or more for bone.</summary>
    public static MaskingRules Difference { get; } = new(
        "difference",
        "Air: 40 dB (insert 55 dB) or more between the ears, or above the better bone threshold. Bone: air-bone gap of 10 dB or more.",
        AirMaskingRule.Difference,
        BoneMaskingRule.GapFromTen,
        AttenuationTable.Usual);

    /// <summary>Attenuation for air, bone always.</summary>
    public static MaskingRules BoneAlways { get; } = AttenuationAndGap with
    {
        Name = "bone-always",
        Description = "Air: 40 dB (insert 55 dB) or more above the other ear's bone threshold. Bone: always.",
        Bone = BoneMaskingRule.Always,
    };

    /// <summary>Every set.</summary>
    public static IReadOnlyList<MaskingRules> All { get; } = [AttenuationAndGap, AttenuationAndGapFromTen, DeepInsertAndGap, Difference, BoneAlways];

    /// <summary>The set of this name, if there is one.</summary>
    public static MaskingRules? ByName(string name) => All.FirstOrDefault(rules => string.Equals(rules.Name, name, StringComparison.Ordinal));
}
