using System.Globalization;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>Whether a masked measurement can begin. A closed set.</summary>
public abstract record PlateauPlan
{
    private PlateauPlan()
    {
    }

    /// <summary>It can.</summary>
    /// <param name="Settings">With these settings.</param>
    public sealed record Ready(PlateauSettings Settings) : PlateauPlan;

    /// <summary>It cannot: something must be known first.</summary>
    /// <param name="Reason">What is missing, as a sentence.</param>
    /// <param name="Remedy">What to do.</param>
    public sealed record NotYet(string Reason, string Remedy) : PlateauPlan;
}

/// <summary>Takes the settings of a masked measurement from the audiogram so far.</summary>
public static class PlateauPlanning
{
    /// <summary>Prepares one measurement.</summary>
    /// <param name="rules">Rules in force; their attenuation bounds the masker.</param>
    /// <param name="kind">Earphone that gives the masker, and the tone when it goes by air.</param>
    /// <param name="audiogram">Everything measured so far; of several measurements of one kind the last counts.</param>
    /// <param name="ear">Ear under test.</param>
    /// <param name="route">Route of the tone.</param>
    /// <param name="frequencyHz">Frequency in Hz.</param>
    /// <param name="search">Limits of the tone and stopping rule. Whatever its step, a masked threshold is measured in the published ones.</param>
    /// <param name="maskerMaximumDbEm">Highest level of the masker that the gear is calibrated for in the other ear, dB EM.</param>
    public static PlateauPlan Prepare(
        MaskingRules rules,
        TransducerKind kind,
        IReadOnlyList<Measurement> audiogram,
        Ear ear,
        ConductionRoute route,
        int frequencyHz,
        SearchSettings search,
        double maskerMaximumDbEm)
    {
        ArgumentNullException.ThrowIfNull(rules);
        ArgumentNullException.ThrowIfNull(audiogram);
        var view = new MaskingAudiogram(audiogram);
        var other = ear.Other();
        var byBone = route != ConductionRoute.Air;
        if (MaskingAudiogram.AtWorst(view.Outcome(ear, byBone, frequencyHz, masked: false)) is not { } unmasked)
        {
            return new PlateauPlan.NotYet(
                Say($"There is no unmasked threshold of the {MaskingNeeds.Side(ear)} ear at {frequencyHz} Hz to begin from."),
                "Measure it without a masker first.");
        }

        if (AsPoorAsItMayBe(view.Best(other, bone: false, frequencyHz)) is not { } otherAir)
        {
            return new PlateauPlan.NotYet(
                Say($"There is no threshold by air of the {MaskingNeeds.Side(other)} ear at {frequencyHz} Hz, from which the masker's level is counted."),
                "Measure it first.");
        }

        var attenuation = rules.Attenuation.AirMinimumDb(kind, frequencyHz);
        var bone = view.BoneAtBest(ear, frequencyHz);
        double? bestBone = bone.Source is BoneSource.Measured or BoneSource.GapElsewhere ? bone.LevelDbHl : null;
        return new PlateauPlan.Ready(new PlateauSettings(route, unmasked, otherAir, attenuation, search with { StepDb = HearingLevels.StepDb })
        {
            OcclusionDb = byBone ? OcclusionEffect.AllowanceDb(kind, frequencyHz, otherAir - view.BoneAtBest(other, frequencyHz).LevelDbHl) : 0,
            BestBoneDbHl = bestBone,
            OtherAirIsCertain = OtherAirIsCertain(view, ear, frequencyHz, attenuation),
            MaskerMaximumDbEm = maskerMaximumDbEm,
        });
    }

    /// <summary>Whether the other ear's threshold by air is its own: it was masked, or the ear under test cannot have answered for it.</summary>
    internal static bool OtherAirIsCertain(MaskingAudiogram view, Ear ear, int frequencyHz, double attenuationDb)
    {
        var other = ear.Other();
        if (view.Outcome(other, bone: false, frequencyHz, masked: true) is ThresholdOutcome.Established)
        {
            return true;
        }

        var bone = view.BoneAtBest(ear, frequencyHz);
        var best = bone.Source is BoneSource.Measured or BoneSource.GapElsewhere ? bone.LevelDbHl!.Value : HearingLevels.LowestPresentedDbHl;
        return view.Best(other, bone: false, frequencyHz) is ThresholdOutcome.NoResponseAtLimit
            || (AsPoorAsItMayBe(view.Best(other, bone: false, frequencyHz)) is { } otherAir && otherAir - best < attenuationDb);
    }

    // The masker must be heard there for certain: a hidden threshold counts as its bound, one beyond the limit as the limit.
    private static double? AsPoorAsItMayBe(ThresholdOutcome? outcome) => outcome switch
    {
        ThresholdOutcome.NoResponseAtLimit limit => limit.LimitDbHl,
        _ => MaskingAudiogram.AtWorst(outcome),
    };

    private static string Say(FormattableString sentence) => sentence.ToString(CultureInfo.InvariantCulture);
}
