using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>The short form of ISO 8253-1:2010, 6.2.3, worked by hand: two responses at one level within at most three ascents, else a new series 10 dB above the last response.</summary>
public sealed class ShortFormReplayTests
{
    private static readonly SearchSettings _short = SearchDriver.NoCatch with { FamiliarisationStartDbHl = 40, Rule = StoppingRule.TwoOfThreeAscents };

    [Theory]
    [InlineData("40+ 30- 35+ 25- 30- 35+")]
    [InlineData("40+ 30- 35- 40+ 30- 35+ 25- 30- 35+")]
    public void TwoResponsesWithinThreeAscentsAreEnough(string sequence)
    {
        Assert.Equal(new SearchMove.Finished(new ThresholdOutcome.Established(35)), SearchDriver.Replay(_short, sequence));
    }

    [Fact]
    public void WhenThreeAscentsFailANewSeriesBeginsTenAboveTheLastResponse()
    {
        var next = SearchDriver.Replay(_short, "40+ 30- 35- 40+ 30- 35+ 25- 30+");

        Assert.Equal(new SearchMove.PresentTone(HearingLevel.FromDecibels(40), Ascending: false), next);
    }

    [Fact]
    public void TheOtherRuleOfTwoGoesOnThere()
    {
        // ASHA 2005 (from memory) knows no series: after the same answers the search goes 10 dB down.
        var next = SearchDriver.Replay(_short with { Rule = StoppingRule.TwoOfThree }, "40+ 30- 35- 40+ 30- 35+ 25- 30+");

        Assert.Equal(new SearchMove.PresentTone(HearingLevel.FromDecibels(20), Ascending: false), next);
    }
}
