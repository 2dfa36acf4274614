using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.Masking;

/// <summary>When to mask. Boundaries: ASHA-type rule and British Society of Audiology 2018 (from memory), textbooks for bone (15 dB second hand), ISO 8253-1:2010, 8.1 (confirmed).</summary>
public sealed class MaskingNeedsTests
{
    private const int Hertz = 1000;

    [Theory]
    [InlineData(TransducerKind.SupraAural, 45, 5, true)]
    [InlineData(TransducerKind.SupraAural, 40, 5, false)]
    [InlineData(TransducerKind.Circumaural, 45, 5, true)]
    [InlineData(TransducerKind.Insert, 55, 5, false)]
    [InlineData(TransducerKind.Insert, 60, 5, true)]
    public void AirIsMaskedFromTheLeastAttenuationOn(TransducerKind kind, double testAir, double otherBone, bool needed)
    {
        var need = Judge(MaskingRules.AttenuationAndGap, kind, ConductionRoute.Air, Air(Ear.Right, testAir), Air(Ear.Left, otherBone), Bone(Ear.Left, otherBone));

        Assert.Equal((needed, false), (need.Needed, need.Provisional));
        Assert.StartsWith(needed ? "Mask:" : "No masking:", need.Reason, StringComparison.Ordinal);
        Assert.Contains($"{testAir - otherBone} dB above", need.Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1000, 75, 5, false)]
    [InlineData(1000, 80, 5, true)]
    [InlineData(2000, 55, 5, true)]
    [InlineData(2000, 50, 5, false)]
    public void InsertsKnownToSitDeepLoseMoreAcrossTheHeadAtLowFrequencies(int hertz, double testAir, double otherBone, bool needed)
    {
        // Yacullo, from memory: 75 dB up to 1 kHz, 50 dB above.
        var need = MaskingNeeds.Judge(
            MaskingRules.DeepInsertAndGap,
            TransducerKind.Insert,
            [Air(Ear.Right, testAir, hertz), Air(Ear.Left, otherBone, hertz), Bone(Ear.Left, otherBone, hertz)],
            Ear.Right,
            ConductionRoute.Air,
            hertz);

        Assert.Equal(needed, need.Needed);
    }

    [Theory]
    [InlineData("attenuation-and-gap", 10, false)]
    [InlineData("attenuation-and-gap", 15, true)]
    [InlineData("difference", 5, false)]
    [InlineData("difference", 10, true)]
    [InlineData("bone-always", 0, true)]
    public void BoneIsMaskedByTheGapOrAlways(string rules, double gap, bool needed)
    {
        var need = Judge(MaskingRules.ByName(rules)!, TransducerKind.SupraAural, ConductionRoute.BoneMastoid, Air(Ear.Right, 20 + gap), Air(Ear.Left, 20), Bone(Ear.Right, 20));

        Assert.Equal(needed, need.Needed);
        Assert.False(need.Provisional);
    }

    [Fact]
    public void WithoutBoneConductionTheOtherEarsAirStandsInAndTheAnswerIsProvisional()
    {
        var before = Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air, Air(Ear.Right, 60), Air(Ear.Left, 40));
        var after = Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air, Air(Ear.Right, 60), Air(Ear.Left, 40), Bone(Ear.Left, 10));
        var certain = Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air, Air(Ear.Right, 60), Air(Ear.Left, 10));

        Assert.Equal((false, true), (before.Needed, before.Provisional));
        Assert.Contains("judge again when bone conduction is known", before.Reason, StringComparison.Ordinal);
        Assert.Equal((true, false), (after.Needed, after.Provisional));

        // A better bone threshold can only make the difference larger.
        Assert.Equal((true, false), (certain.Needed, certain.Provisional));
    }

    [Fact]
    public void BoneFoundOnTheTestSideCountsForTheOtherEarToo()
    {
        // Without a masker a tone by bone reaches both cochleas alike.
        var need = Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air, Air(Ear.Right, 60), Air(Ear.Left, 40), Bone(Ear.Right, 10));

        Assert.True(need.Needed);
    }

    [Theory]
    [InlineData(15, "bone threshold of 15 dB HL")]
    [InlineData(10, "bone threshold, which may be as good as 10 dB HL")]
    public void ABoneThresholdThatIsNotTheEarsOwnIsNotCitedAsIfItWere(double foundOnTheTestSide, string cited)
    {
        var need = Judge(
            MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air, Air(Ear.Right, 75), Air(Ear.Left, 20), Bone(Ear.Left, 15), Bone(Ear.Right, foundOnTheTestSide));

        Assert.Contains(cited, need.Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(125, "bone conduction is not measured at this frequency")]
    [InlineData(6000, "bone conduction is not measured at this frequency")]
    [InlineData(250, "judge again when bone conduction is known")]
    [InlineData(4000, "judge again when bone conduction is known")]
    public void NobodyIsToldToWaitForWhatIsNeverMeasured(int hertz, string said)
    {
        var need = MaskingNeeds.Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, [Air(Ear.Right, 30, hertz), Air(Ear.Left, 50, hertz)], Ear.Right, ConductionRoute.Air, hertz);

        Assert.Contains(said, need.Reason, StringComparison.Ordinal);
        Assert.Contains("20 dB below", need.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void AboveTheBoneRangeTheGapOfTheNearestFrequencyStandsIn()
    {
        Measurement[] audiogram = [Air(Ear.Right, 70, 8000), Air(Ear.Left, 45, 8000), Air(Ear.Left, 45, 4000), Bone(Ear.Left, 10, 4000)];

        var need = MaskingNeeds.Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, audiogram, Ear.Right, ConductionRoute.Air, 8000);

        Assert.Equal((true, true), (need.Needed, need.Provisional));
    }

    [Theory]
    [InlineData(50, 10, true)]
    [InlineData(45, 10, true)]
    [InlineData(44, 10, false)]
    [InlineData(50, 40, true)]
    public void DifferencesBetweenTheEarsDecideUnderTheDifferenceRules(double testAir, double otherAir, bool needed)
    {
        // Rule 1: 40 dB between the ears by air. Rule 3: 40 dB above the better bone threshold (5 dB HL here) where rule 1 is silent.
        var need = Judge(MaskingRules.Difference, TransducerKind.SupraAural, ConductionRoute.Air, Air(Ear.Right, testAir), Air(Ear.Left, otherAir), Bone(Ear.Left, 5));

        Assert.Equal(needed, need.Needed);
    }

    [Fact]
    public void WhatNoEarHeardNeedsNoMasking()
    {
        var need = Judge(
            MaskingRules.AttenuationAndGap,
            TransducerKind.SupraAural,
            ConductionRoute.Air,
            new Measurement(Ear.Right, ConductionRoute.Air, Hertz, new ThresholdOutcome.NoResponseAtLimit(110)),
            Air(Ear.Left, 10),
            Bone(Ear.Left, 10));

        Assert.False(need.Needed);
        Assert.Contains("neither ear responded", need.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void AnEarTooDeafToHearByBoneNeedsNoMasker()
    {
        // A gap never exceeds about 65 dB (common practice): at 110 dB HL by air the other cochlea hears nothing below 45 by bone.
        Measurement[] audiogram = [Air(Ear.Right, 50), Air(Ear.Left, 110), Bone(Ear.Right, 10)];

        Assert.False(Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air, audiogram).Needed);
        Assert.False(Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.BoneMastoid, audiogram).Needed);
    }

    [Fact]
    public void NothingToJudgeIsSaid()
    {
        var need = Judge(MaskingRules.AttenuationAndGap, TransducerKind.SupraAural, ConductionRoute.Air);

        Assert.Equal((false, true), (need.Needed, need.Provisional));
        Assert.Contains("no unmasked threshold of the right ear", need.Reason, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(TransducerKind.SupraAural, 250, 15)]
    [InlineData(TransducerKind.SupraAural, 500, 15)]
    [InlineData(TransducerKind.SupraAural, 1000, 10)]
    [InlineData(TransducerKind.SupraAural, 2000, 0)]
    [InlineData(TransducerKind.Insert, 250, 10)]
    [InlineData(TransducerKind.Insert, 500, 10)]
    [InlineData(TransducerKind.Insert, 1000, 0)]
    public void OcclusionIsAllowedForByEarphone(TransducerKind covering, int hertz, double allowance)
    {
        // Martin and Clark for supra-aural (second hand); inserts are not given less than 10 dB at 250 and 500 Hz (Stenfelt and Reinfeldt 2007).
        Assert.Equal(allowance, OcclusionEffect.AllowanceDb(covering, hertz, airBoneGapDb: null));
        Assert.Equal(0, OcclusionEffect.AllowanceDb(covering, hertz, airBoneGapDb: 30));
    }

    [Fact]
    public void DeepInsertsOccludeAtTheLowestFrequencyAlone()
    {
        // Yacullo 1996, second hand.
        Assert.Equal([10, 0, 0], new[] { 250, 500, 1000 }.Select(hertz => OcclusionEffect.AllowanceDb(TransducerKind.Insert, hertz, depthVerified: true)));
    }

    private static MaskingNeed Judge(MaskingRules rules, TransducerKind kind, ConductionRoute route, params Measurement[] audiogram) =>
        MaskingNeeds.Judge(rules, kind, audiogram, Ear.Right, route, Hertz);

    private static Measurement Air(Ear ear, double level, int hertz = Hertz) => new(ear, ConductionRoute.Air, hertz, new ThresholdOutcome.Established(level));

    private static Measurement Bone(Ear ear, double level, int hertz = Hertz) => new(ear, ConductionRoute.BoneMastoid, hertz, new ThresholdOutcome.Established(level));
}
