using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.Interpretation;

/// <summary>Rule 1 of the British Society of Audiology 2018, from memory: 40 dB with supra-aural and circumaural earphones, 55 dB with inserts.</summary>
public sealed class CrossHearingTests
{
    [Theory]
    [InlineData(TransducerKind.SupraAural, 45, 5, true)]
    [InlineData(TransducerKind.SupraAural, 40, 5, false)]
    [InlineData(TransducerKind.Circumaural, 45, 5, true)]
    [InlineData(TransducerKind.Insert, 55, 5, false)]
    [InlineData(TransducerKind.Insert, 60, 5, true)]
    public void ADifferenceFromTheRuleOnIsFlaggedAtThePoorerEar(TransducerKind kind, double poorer, double better, bool flagged)
    {
        foreach (var ear in new[] { Ear.Left, Ear.Right })
        {
            var other = ear == Ear.Left ? Ear.Right : Ear.Left;
            var cautions = CrossHearing.Find(kind, [Point(ear, Established(poorer)), Point(other, Established(better))]);

            Assert.Equal(flagged ? [(AudiogramCautionCodes.PossibleCrossHearing, ear, 1000)] : [], cautions.Select(caution => (caution.Code, caution.Ear, caution.FrequencyHz)));
        }
    }

    [Fact]
    public void AMaskedResultIsNotFlagged()
    {
        Assert.Empty(CrossHearing.Find(TransducerKind.SupraAural, [Point(Ear.Left, Established(80), masked: true), Point(Ear.Right, Established(0))]));
    }

    [Fact]
    public void ADifferenceHiddenByRoomNoiseCannotBeRuledOut()
    {
        EarThreshold[] hidden = [Point(Ear.Left, Established(35)), Point(Ear.Right, new ThresholdOutcome.NoiseLimited(20))];

        Assert.Contains("cannot be ruled out", Assert.Single(CrossHearing.Find(TransducerKind.SupraAural, hidden)).Sentence, StringComparison.Ordinal);
        Assert.Empty(CrossHearing.Find(TransducerKind.Insert, hidden));
    }

    [Fact]
    public void WhereNothingWasHeardNothingWasHeardAcross()
    {
        Assert.Empty(CrossHearing.Find(TransducerKind.SupraAural, [Point(Ear.Left, new ThresholdOutcome.NoResponseAtLimit(100)), Point(Ear.Right, Established(0))]));
    }

    [Fact]
    public void OneEarAloneOrWithoutAThresholdIsNotJudged()
    {
        Assert.Empty(CrossHearing.Find(TransducerKind.SupraAural, [Point(Ear.Left, Established(80))]));
        Assert.Empty(CrossHearing.Find(TransducerKind.SupraAural, [Point(Ear.Left, Established(80)), Point(Ear.Right, new ThresholdOutcome.NotEstablished("x"))]));
    }

    [Fact]
    public void OfARepeatedPointTheLastCounts()
    {
        Assert.Empty(CrossHearing.Find(
            TransducerKind.SupraAural,
            [Point(Ear.Left, Established(80)), Point(Ear.Right, Established(0)), Point(Ear.Left, Established(30))]));
    }

    private static ThresholdOutcome Established(double level) => new ThresholdOutcome.Established(level);

    private static EarThreshold Point(Ear ear, ThresholdOutcome outcome, bool masked = false) => new(ear, 1000, outcome, masked);
}
