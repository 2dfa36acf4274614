using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>Whether an unmasked threshold must be measured again with a masker in the other ear.</summary>
/// <param name="Needed">Whether it must.</param>
/// <param name="Provisional">Whether a threshold that is not known yet may change the answer.</param>
/// <param name="Reason">Why or why not, as a sentence.</param>
public sealed record MaskingNeed(bool Needed, bool Provisional, string Reason)
{
    /// <summary>Whether it cannot be judged before the other ear's threshold by air at this frequency is known.</summary>
    public bool OtherEarFirst { get; init; }

    /// <summary>Whether bone conduction, where it is to be measured at all, is better known first: until then the other ear's own threshold is uncertain, and a masker may do nothing.</summary>
    public bool BoneFirst { get; init; }
}

/// <summary>Judges every unmasked threshold by a set of rules.</summary>
/// <remarks>
/// A rule says that cross-hearing is possible, not that it happened; that no rule applies does not prove the opposite. The clinician decides.
/// </remarks>
public static class MaskingNeeds
{
    private const double GapOverTenFromDb = 15;
    private const double GapFromTenDb = 10;

    /// <summary>How far the other ear's bone threshold must lie above the one found for that to be this ear's for certain, dB. A design choice: twice the usual step.</summary>
    private const double CertainlyThisEarsDb = 10;

    /// <summary>Judges one threshold.</summary>
    /// <param name="rules">Set of rules.</param>
    /// <param name="kind">Earphone with which thresholds by air were measured.</param>
    /// <param name="audiogram">Everything measured so far; of several measurements of one kind the last counts.</param>
    /// <param name="ear">Ear under test.</param>
    /// <param name="route">Route of the tone.</param>
    /// <param name="frequencyHz">Frequency in Hz.</param>
    public static MaskingNeed Judge(MaskingRules rules, TransducerKind kind, IReadOnlyList<Measurement> audiogram, Ear ear, ConductionRoute route, int frequencyHz)
    {
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentNullException.ThrowIfNull(audiogram);
        var view = new MaskingAudiogram(audiogram);
        var unmasked = view.Outcome(ear, route != ConductionRoute.Air, frequencyHz, masked: false);
        return unmasked switch
        {
            ThresholdOutcome.NoResponseAtLimit limit => new MaskingNeed(
                false, false, Say($"No masking: neither ear responded to {limit.LimitDbHl:0.#} dB HL at {frequencyHz} Hz, so the other ear answered for nothing.")),
            ThresholdOutcome.Established or ThresholdOutcome.NoiseLimited => route == ConductionRoute.Air
                ? Air(rules, kind, view, ear, frequencyHz, MaskingAudiogram.AtWorst(unmasked)!.Value)
                : Bone(rules, view, ear, frequencyHz, unmasked),
            _ => new MaskingNeed(false, true, Say($"There is no unmasked threshold of the {Side(ear)} ear at {frequencyHz} Hz to judge.")),
        };
    }

    private static MaskingNeed Air(MaskingRules rules, TransducerKind kind, MaskingAudiogram view, Ear ear, int frequencyHz, double testDbHl)
    {
        var other = ear.Other();
        var attenuation = rules.Attenuation.AirMinimumDb(kind, frequencyHz);
        var otherAir = view.AirAtBest(other, frequencyHz);
        var bone = view.BoneAtBest(other, frequencyHz);
        var head = Say($"the {Side(ear)} ear's {testDbHl:0.#} dB HL at {frequencyHz} Hz");
        if (otherAir is null && bone.LevelDbHl is null)
        {
            // A threshold that is good enough is the ear's own, however good the other ear.
            return testDbHl - HearingLevels.LowestPresentedDbHl < attenuation
                ? new MaskingNeed(false, false, Say($"No masking: {head} lies less than {attenuation:0.#} dB above the best there can be."))
                : new MaskingNeed(false, true, Say($"Not known yet: {head} cannot be compared, because nothing is known of the {Side(other)} ear there.")) { OtherEarFirst = true };
        }

        var boneFirst = !PlateauPlanning.OtherAirIsCertain(view, ear, frequencyHz, attenuation) && view.BoneAtBest(ear, frequencyHz).Source is BoneSource.AirInstead or BoneSource.None;

        // Rule 1 of the difference rules looks at the ears by air alone; rule 3, where rule 1 is silent, at the bone threshold.
        if (rules.Air == AirMaskingRule.Difference && otherAir is { } air && testDbHl - air >= attenuation)
        {
            return new MaskingNeed(true, false, Say($"Mask: {head} lies {testDbHl - air:0.#} dB above the {Side(other)} ear's {air:0.#} by air; from {attenuation:0.#} dB on the other ear may have heard it.")) { BoneFirst = boneFirst };
        }

        var level = (bone.LevelDbHl ?? otherAir)!.Value;
        var difference = testDbHl - level;
        var needed = difference >= attenuation;
        var known = bone.Source switch
        {
            BoneSource.Measured when MaskingAudiogram.AtBest(view.Best(other, bone: true, frequencyHz)) == level => Say($"bone threshold of {level:0.#} dB HL"),

            // Without a masker a better threshold found on the test side may be this ear's.
            BoneSource.Measured => Say($"bone threshold, which may be as good as {level:0.#} dB HL"),
            BoneSource.GapElsewhere => Say($"bone threshold as the air-bone gap at the nearest frequencies suggests it, of {level:0.#} dB HL"),
            _ => Say($"threshold by air, its bone threshold not being known, of {level:0.#} dB HL"),
        };
        var far = difference < 0 ? Say($"{-difference:0.#} dB below") : Say($"{difference:0.#} dB above");
        var provisional = bone.Source != BoneSource.Measured;
        return new MaskingNeed(
            needed,
            provisional && !(needed && bone.Source == BoneSource.AirInstead),
            needed
                ? Say($"Mask: {head} lies {far} the {Side(other)} ear's {known}; the head may take away as little as {attenuation:0.#} dB.")
                : Say($"No masking: {head} lies {far} the {Side(other)} ear's {known}, less than the {attenuation:0.#} dB the head takes away{(provisional ? Later(frequencyHz) : string.Empty)}."))
        {
            BoneFirst = boneFirst,
        };
    }

    /// <summary>What may still change the answer. Beyond the range of bone conduction nothing will, and nobody is to wait for it.</summary>
    private static string Later(int frequencyHz) => BoneFrequencies.Tested.Any(frequency => frequency.Hertz == frequencyHz)
        ? "; judge again when bone conduction is known"
        : "; bone conduction is not measured at this frequency";

    private static MaskingNeed Bone(MaskingRules rules, MaskingAudiogram view, Ear ear, int frequencyHz, ThresholdOutcome unmasked)
    {
        if (rules.Bone == BoneMaskingRule.Always)
        {
            return new MaskingNeed(true, false, Say($"Mask: without a masker a bone threshold at {frequencyHz} Hz may be that of either ear."));
        }

        // No response by air still gives a gap: at least the limit less the bone threshold.
        var air = view.AirAtBest(ear, frequencyHz);
        if (air is not { } airDbHl)
        {
            return new MaskingNeed(false, true, Say($"Not known yet: the {Side(ear)} ear has no threshold by air at {frequencyHz} Hz to take an air-bone gap from."));
        }

        var from = rules.Bone == BoneMaskingRule.GapFromTen ? GapFromTenDb : GapOverTenFromDb;
        var boneDbHl = MaskingAudiogram.AtBest(unmasked)!.Value;
        var gap = airDbHl - boneDbHl;
        var other = ear.Other();
        if (gap >= from && view.AirAtBest(other, frequencyHz) is { } otherAir && otherAir - MaskingLevels.LargestAirBoneGapDb - boneDbHl >= CertainlyThisEarsDb)
        {
            return new MaskingNeed(
                false,
                false,
                Say($"No masking: the {Side(other)} ear, at {otherAir:0.#} dB HL by air, cannot hear {boneDbHl:0.#} dB HL by bone at {frequencyHz} Hz, since no air-bone gap exceeds {MaskingLevels.LargestAirBoneGapDb:0.#} dB."));
        }

        return gap >= from
            ? new MaskingNeed(true, false, Say($"Mask: the {Side(ear)} ear's air-bone gap at {frequencyHz} Hz is {gap:0.#} dB; from {from:0.#} dB on the bone threshold may be the other ear's."))
            : new MaskingNeed(false, false, Say($"No masking: the {Side(ear)} ear's air-bone gap at {frequencyHz} Hz is {gap:0.#} dB, less than {from:0.#} dB."));
    }

    internal static string Side(Ear ear) => ear == Ear.Right ? "right" : "left";

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
