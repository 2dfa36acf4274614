using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Masking;

/// <summary>An audiogram as decisions on masking look at it. Of several measurements of one kind the last counts.</summary>
internal readonly struct MaskingAudiogram(IReadOnlyList<Measurement> measurements)
{
    /// <summary>How much poorer than it is a bone threshold may come out with a masker, dB: central masking, and one step of measuring. A design choice on the safe side.</summary>
    private const double MaskedMayBePoorerDb = MaskingLevels.CentralMaskingDb + HearingLevels.StepDb;

    /// <summary>The last outcome, or none.</summary>
    public ThresholdOutcome? Outcome(Ear ear, bool bone, int frequencyHz, bool masked)
    {
        for (var i = measurements.Count - 1; i >= 0; i--)
        {
            var one = measurements[i];

            // By the forehead one measurement without a masker stands for both ears.
            var isOfEar = one.Ear == ear || one is { Route: ConductionRoute.BoneForehead, Masking: null };
            if (isOfEar && one.FrequencyHz == frequencyHz && (one.Route != ConductionRoute.Air) == bone && (one.Masking is not null) == masked)
            {
                return one.Outcome;
            }
        }

        return null;
    }

    /// <summary>The masked outcome where masking came to a threshold or to the limit, otherwise the unmasked one.</summary>
    public ThresholdOutcome? Best(Ear ear, bool bone, int frequencyHz) =>
        Outcome(ear, bone, frequencyHz, masked: true) is { } masked and (ThresholdOutcome.Established or ThresholdOutcome.NoResponseAtLimit)
            ? masked
            : Outcome(ear, bone, frequencyHz, masked: false);

    /// <summary>Threshold by air as good as it may be, dB HL: a hidden one counts as the lowest level there is, one beyond the limit as the limit.</summary>
    public double? AirAtBest(Ear ear, int frequencyHz) => AtBest(Best(ear, bone: false, frequencyHz));

    /// <summary>The threshold by bone that an ear may have, and how it is known. Never poorer than by air, never better than the largest gap allows.</summary>
    /// <remarks>A threshold by air found without a masker is never poorer than the true one, so that the gap it allows holds for the true one too.</remarks>
    public BoneKnowledge BoneAtBest(Ear ear, int frequencyHz)
    {
        var air = AirAtBest(ear, frequencyHz);
        if (BoneMeasured(ear, frequencyHz) is { } measured)
        {
            return new BoneKnowledge(
                air is { } level ? Math.Clamp(measured, level - MaskingLevels.LargestAirBoneGapDb, level) : measured,
                BoneSource.Measured);
        }

        if (air is not { } known)
        {
            return new BoneKnowledge(null, BoneSource.None);
        }

        return NearestGap(ear, frequencyHz) is { } gap
            ? new BoneKnowledge(known - Math.Max(0, gap), BoneSource.GapElsewhere)
            : new BoneKnowledge(known, BoneSource.AirInstead);
    }

    /// <summary>Level of an outcome as good as it may be, dB HL.</summary>
    public static double? AtBest(ThresholdOutcome? outcome) => outcome switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl,
        ThresholdOutcome.NoResponseAtLimit limit => limit.LimitDbHl,
        ThresholdOutcome.NoiseLimited => HearingLevels.LowestPresentedDbHl,
        _ => null,
    };

    /// <summary>Level of an outcome as poor as it may be, dB HL. None where nothing was heard: no ear answered for the other.</summary>
    public static double? AtWorst(ThresholdOutcome? outcome) => outcome switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl,
        ThresholdOutcome.NoiseLimited noise => noise.BoundDbHl,
        _ => null,
    };

    // A tone by bone reaches both cochleas alike: without a masker a threshold found on either side may belong to this ear.
    private double? BoneMeasured(Ear ear, int frequencyHz)
    {
        var other = ear.Other();
        var here = AtBest(Outcome(ear, bone: true, frequencyHz, masked: false));
        var there = AtBest(Outcome(other, bone: true, frequencyHz, masked: false));
        var unmasked = here is { } first && there is { } second ? Math.Min(first, second) : here ?? there;
        return Outcome(ear, bone: true, frequencyHz, masked: true) is ThresholdOutcome.Established { LevelDbHl: var masked }
            ? Math.Max(masked - MaskedMayBePoorerDb, unmasked ?? double.NegativeInfinity)
            : unmasked;
    }

    /// <summary>The largest gap of the ear at the nearest frequencies below and above where both are known, dB.</summary>
    private double? NearestGap(Ear ear, int frequencyHz)
    {
        int? below = null;
        int? above = null;
        foreach (var one in measurements)
        {
            if (one.Route == ConductionRoute.Air || AirAtBest(ear, one.FrequencyHz) is null)
            {
                continue;
            }

            below = one.FrequencyHz < frequencyHz ? Math.Max(below ?? 0, one.FrequencyHz) : below;
            above = one.FrequencyHz > frequencyHz ? Math.Min(above ?? int.MaxValue, one.FrequencyHz) : above;
        }

        var low = below is { } lower ? Gap(ear, lower) : null;
        var high = above is { } higher ? Gap(ear, higher) : null;
        return low is { } first && high is { } second ? Math.Max(first, second) : low ?? high;
    }

    private double? Gap(Ear ear, int frequencyHz) => AirAtBest(ear, frequencyHz) - BoneMeasured(ear, frequencyHz);
}

/// <summary>How a threshold by bone is known.</summary>
internal enum BoneSource
{
    /// <summary>Not at all.</summary>
    None,

    /// <summary>It was measured at this frequency.</summary>
    Measured,

    /// <summary>From the threshold by air here and the air-bone gap at the nearest frequencies.</summary>
    GapElsewhere,

    /// <summary>The threshold by air stands in for it.</summary>
    AirInstead,
}

/// <summary>A threshold by bone as good as it may be.</summary>
/// <param name="LevelDbHl">Level in dB HL; absent when nothing is known.</param>
/// <param name="Source">How it is known.</param>
internal readonly record struct BoneKnowledge(double? LevelDbHl, BoneSource Source);
