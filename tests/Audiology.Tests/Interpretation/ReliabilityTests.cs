using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.Interpretation;

public sealed class ReliabilityTests
{
    private static readonly TrialTally _calm = new(10, 2, 0, 0, 0, 0, 40);

    [Fact]
    public void AnOrdinaryEarIsAcceptedWithoutAReason()
    {
        var judged = Judge([.. Air(10, 15, 20), At(1000, 15)]);

        Assert.Equal(EarVerdict.Accept, judged.Verdict);
        Assert.Empty(judged.Reasons);
        Assert.Equal((5, 8, 0, 40, 4, 160), (judged.RepeatDifferenceDb, judged.CatchTrials, judged.FalseResponses, judged.Tones, judged.Measurements, judged.DurationSeconds));
    }

    [Fact]
    public void AnEarWithoutMeasurementsIsToBeMeasured()
    {
        Assert.Equal((EarVerdict.Repeat, ReliabilityCodes.NothingMeasured), First(Judge([])));
    }

    [Fact]
    public void AQuickLookAloneIsNamedAsOneAndCounted()
    {
        var judged = Judge([.. Air(10, 15, 20).Select(one => one with { Method = ThresholdMethod.Estimate })]);

        Assert.Equal((EarVerdict.AcceptWithLimits, ReliabilityCodes.QuickLookOnly), First(judged));
        Assert.Equal((3, 30, 6), (judged.Measurements, judged.Tones, judged.CatchTrials));
        Assert.Equal(3, Judge([.. Air(10, 15, 20), At(4000, 20) with { Method = ThresholdMethod.Estimate }]).Measurements);
    }

    [Fact]
    public void ManyResponsesToSilenceInAQuickLookAreNamed()
    {
        var judged = Judge([At(1000, 20) with { Method = ThresholdMethod.Estimate, Tally = _calm with { CatchTrials = 4, FalseResponses = 2 } }]);

        Assert.Contains(judged.Reasons, reason => reason.Code == ReliabilityCodes.FalseResponses);
    }

    [Fact]
    public void TheLowestLevelHeardIsSaidToBeABound()
    {
        var judged = Judge([.. Air(-10, 0, 20)]);

        Assert.Equal(EarVerdict.Accept, judged.Verdict);
        Assert.Equal(ReliabilityCodes.LowestLevelHeard, Assert.Single(judged.Reasons).Code);
    }

    [Fact]
    public void ManyResponsesToSilenceAreNamedWithTheirCount()
    {
        var judged = Judge([.. Air(10, 15, 20).Select(one => one with { Tally = _calm with { CatchTrials = 6, FalseResponses = 3, EarlyPresses = 2 } })]);

        Assert.Equal((EarVerdict.Repeat, ReliabilityCodes.PressesWithoutCause), First(judged));
        Assert.Contains("9 of 18 silent trials and pressed 6 times before a tone", judged.Reasons[0].Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void TwoResponsesInFewSilentTrialsAreALimitAndNotAVerdict()
    {
        var judged = Judge([.. Air(10, 15, 20, 25).Select((one, index) => one with { Tally = _calm with { CatchTrials = 4, FalseResponses = index < 2 ? 1 : 0, Tones = 20 } })]);

        Assert.Equal((EarVerdict.AcceptWithLimits, ReliabilityCodes.FalseResponses), First(judged));
    }

    [Theory]
    [InlineData(20, null, EarVerdict.AcceptWithLimits)]
    [InlineData(20, 15.0, EarVerdict.AcceptWithLimits)]
    [InlineData(20, 25.0, EarVerdict.Repeat)]
    public void ARepeatThatDiffersByTenIsALimitUntilFurtherRepeatsDifferToo(double repeat, double? further, EarVerdict verdict)
    {
        // ISO 8253-1:2010, 6.2.3, step 3: from 10 dB on, further frequencies again until one agrees within 5 dB.
        List<Measurement> done = [.. Air(10, 15, 15, 15), At(1000, repeat)];
        if (further is { } level)
        {
            done.Add(At(2000, level));
        }

        var judged = Judge(done);

        Assert.Equal(verdict, judged.Verdict);
        Assert.Contains(judged.Reasons, reason => reason is { Code: ReliabilityCodes.RepeatDiffers, FrequencyHz: 1000 });
    }

    [Theory]
    [InlineData(10, false)]
    [InlineData(15, true)]
    public void LevelsMoreThanTenApartMakeAThresholdDoubtful(double spanDb, bool doubtful)
    {
        // ISO 8253-1:2010, 6.2.3.
        var judged = Judge([.. Air(10, 15), At(4000, 30) with { Tally = _calm with { AscentSpanDb = spanDb } }]);

        Assert.Equal(doubtful, judged.Reasons.Any(reason => reason is { Code: ReliabilityCodes.WideSpan, FrequencyHz: 4000 }));
        Assert.Equal(spanDb, judged.LargestSpanDb);
    }

    [Fact]
    public void AMissingThresholdIsALimitAndHalfOfThemMissingIsNoAudiogram()
    {
        var none = new ThresholdOutcome.NotEstablished("x");

        Assert.Equal((EarVerdict.AcceptWithLimits, ReliabilityCodes.NoThreshold), First(Judge([.. Air(10, 15), At(4000, 0) with { Outcome = none }])));
        Assert.Equal((EarVerdict.Repeat, ReliabilityCodes.NoThreshold), First(Judge([At(1000, 10), At(4000, 0) with { Outcome = none }])));
    }

    [Fact]
    public void RoomNoiseIsNamedWhereItHidOrSpoiledSomething()
    {
        Assert.Equal((EarVerdict.AcceptWithLimits, ReliabilityCodes.RoomNoise), First(Judge([.. Air(10, 15), At(500, 0) with { Outcome = new ThresholdOutcome.NoiseLimited(20) }])));
        Assert.Equal((EarVerdict.AcceptWithLimits, ReliabilityCodes.RoomNoise), First(Judge([At(1000, 10) with { Tally = _calm with { NoiseVoids = 4 } }])));
        Assert.Equal(EarVerdict.Accept, Judge([At(1000, 10) with { Tally = _calm with { NoiseVoids = 1 } }]).Verdict);
    }

    [Theory]
    [InlineData(25, false)]
    [InlineData(30, true)]
    public void BonePoorerThanAirByMoreThanTenIsNamed(double boneDbHl, bool named)
    {
        var judged = Judge([At(1000, 15), Bone(1000, boneDbHl)]);

        Assert.Equal(named, judged.Reasons.Any(reason => reason is { Code: ReliabilityCodes.BonePoorerThanAir, FrequencyHz: 1000, Weight: EarVerdict.AcceptWithLimits }));
    }

    [Theory]
    [InlineData(250, 40, ConductionRoute.BoneMastoid, true)]
    [InlineData(250, 35, ConductionRoute.BoneMastoid, false)]
    [InlineData(500, 60, ConductionRoute.BoneMastoid, true)]
    [InlineData(1000, 70, ConductionRoute.BoneMastoid, true)]
    [InlineData(1000, 65, ConductionRoute.BoneMastoid, false)]
    [InlineData(250, 30, ConductionRoute.BoneForehead, true)]
    [InlineData(2000, 70, ConductionRoute.BoneMastoid, false)]
    [InlineData(250, 90, ConductionRoute.Air, false)]
    public void AResponseThatMayBeFeltIsNamed(int hertz, double level, ConductionRoute route, bool named)
    {
        // ISO 8253-1:2010, 8.4 and its note: about 40, 60 and 70 dB HL at 250, 500 and 1000 Hz on the mastoid, 10 dB lower on the forehead.
        var judged = Judge([At(hertz, 80), At(hertz, level) with { Route = route }]);

        Assert.Equal(named, judged.Reasons.Any(reason => reason.Code == ReliabilityCodes.MayBeFelt));
    }

    [Fact]
    public void MaskingThatIsMissingOrDidNotSucceedIsNamed()
    {
        // 60 against 10 dB HL with supra-aural earphones: 40 dB or more, so that the other ear may have answered (ASHA 2005, from memory).
        Measurement[] both = [At(1000, 60), At(1000, 10) with { Ear = Ear.Left }];
        var dilemma = At(1000, 60) with { Outcome = new ThresholdOutcome.NotEstablished("x"), Masking = new MaskingEvidence(20, 5, [], MaskingVerdict.Dilemma, "It was still rising.") };
        var plateau = At(1000, 60) with { Masking = new MaskingEvidence(20, 5, [], MaskingVerdict.Plateau, "It stood.") };

        Assert.Equal((EarVerdict.AcceptWithLimits, ReliabilityCodes.MissingMasking), First(Judge(both)));
        Assert.Contains("still rising", Judge([.. both, dilemma]).Reasons[0].Sentence, StringComparison.Ordinal);
        Assert.Equal(EarVerdict.Accept, Judge([.. both, plateau]).Verdict);
    }

    private static EarReliability Judge(IReadOnlyList<Measurement> done) => Reliability.Judge(Ear.Right, done, TransducerKind.SupraAural, MaskingRules.AttenuationAndGap);

    private static (EarVerdict Weight, string Code) First(EarReliability judged) => (judged.Verdict, judged.Reasons[0].Code);

    private static IEnumerable<Measurement> Air(params double[] levels) => levels.Zip([1000, 2000, 3000, 6000], (level, hertz) => At(hertz, level));

    private static Measurement At(int hertz, double level) => new(Ear.Right, ConductionRoute.Air, hertz, new ThresholdOutcome.Established(level)) { Tally = _calm };

    private static Measurement Bone(int hertz, double level) => At(hertz, level) with { Route = ConductionRoute.BoneMastoid };
}
