using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>Written sequences, worked by hand from ASHA 2005 (from memory) and ISO 8253-1:2010, 6.2.3. Plus is heard, minus missed.</summary>
public sealed class SearchReplayTests
{
    // Familiarisation with a response at 40, so that the search begins 10 dB below.
    private static readonly SearchSettings _short = SearchDriver.NoCatch with { FamiliarisationStartDbHl = 40 };
    private static readonly SearchSettings _full = _short with { Rule = StoppingRule.ThreeOfFive };

    [Theory]
    [InlineData("40+ 30- 35+ 25- 30- 35+")]
    [InlineData("40+ 30- 35- 40+ 30- 35+ 25- 30- 35+")]
    public void UnderTheShortRuleTwoResponsesOnAtLeastHalfOfTheAscentsAreEnough(string sequence)
    {
        Assert.Equal(Established(35), SearchDriver.Replay(_short, sequence));
    }

    [Theory]
    [InlineData("40+ 30- 35+ 25- 30- 35+")]
    [InlineData("40+ 30- 35- 40+ 30- 35+ 25- 30- 35+")]
    public void UnderTheFullRuleTheyAreNot(string sequence)
    {
        Assert.Equal(new SearchMove.PresentTone(HearingLevel.FromDecibels(25), Ascending: false), SearchDriver.Replay(_full, sequence));
    }

    [Theory]
    [InlineData("40+ 30- 35+ 25- 30- 35+ 25- 30- 35+")]
    [InlineData("40+ 30- 35- 40+ 30- 35+ 25- 30- 35+ 25- 30- 35+")]
    [InlineData("40+ 30- 35- 40+ 30- 35+ 25- 30- 35- 40+ 30- 35+ 25- 30- 35+")]
    public void UnderTheFullRuleThreeResponsesInFiveAscentsAreEnough(string sequence)
    {
        Assert.Equal(Established(35), SearchDriver.Replay(_full, sequence));
    }

    [Fact]
    public void WhenFiveAscentsFailANewSeriesBeginsTenAboveTheLastResponse()
    {
        // Ascents end at 35, 40, 35, 40, 30: no level three times.
        var next = SearchDriver.Replay(_full, "40+ 30- 35+ 25- 30- 35- 40+ 30- 35+ 25- 30- 35- 40+ 30+ 20- 25- 30+");

        Assert.Equal(new SearchMove.PresentTone(HearingLevel.FromDecibels(40), Ascending: false), next);
    }

    [Fact]
    public void AfterANewSeriesTheOldAscentsCountNoMore()
    {
        const string failed = "40+ 30- 35+ 25- 30- 35- 40+ 30- 35+ 25- 30- 35- 40+ 30+ 20- 25- 30+ ";

        // 35 had two responses before; one more in the new series is its first.
        Assert.IsType<SearchMove.PresentTone>(SearchDriver.Replay(_full, failed + "40+ 30- 35+ 25- 30- 35+"));
        Assert.Equal(Established(35), SearchDriver.Replay(_full, failed + "40+ 30- 35+ 25- 30- 35+ 25- 30- 35+"));
    }

    [Fact]
    public void ResponsesOnADescentDoNotCount()
    {
        // 30 and 20 are heard on the way down, twice over; only 25 is reached from below twice.
        Assert.Equal(Established(25), SearchDriver.Replay(_short, "40+ 30+ 20- 25+ 15- 20- 25+"));
        Assert.IsType<SearchMove.PresentTone>(SearchDriver.Replay(_short, "40+ 30+ 20+ 10- 15- 20+"));
    }

    [Fact]
    public void OneResponseInThreeAscentsIsNotEnough()
    {
        // 35: heard, missed, missed; 40: heard twice of two.
        Assert.Equal(Established(40), SearchDriver.Replay(_short, "40+ 30- 35+ 25- 30- 35- 40+ 30- 35- 40+"));
    }

    [Theory]
    [InlineData("30- 50+", 40)]
    [InlineData("30- 50- 60+", 50)]
    [InlineData("30- 50- 60- 70- 80+", 70)]
    [InlineData("30+", 20)]
    public void FamiliarisationGoesThirtyFiftyAndUpByTen(string sequence, double next)
    {
        Assert.Equal(new SearchMove.PresentTone(HearingLevel.FromDecibels(next), Ascending: false), SearchDriver.Replay(SearchDriver.NoCatch, sequence));
    }

    [Theory]
    [InlineData("30- 50- 60- 70- 80- 90- 100- 100-")]
    [InlineData("30- 50- 60- 70- 80- 90- 100+ 90- 95- 100- 100-")]
    [InlineData("30- 50- 60- 70- 80- 90- 100- 100+ 90- 95- 100- 100-")]
    public void TwoMissesAtTheLimitAreNoResponse(string sequence)
    {
        Assert.Equal(new SearchMove.Finished(new ThresholdOutcome.NoResponseAtLimit(100)), SearchDriver.Replay(SearchDriver.NoCatch, sequence));
    }

    [Fact]
    public void OneMissAtTheLimitIsNot()
    {
        Assert.IsType<SearchMove.PresentTone>(SearchDriver.Replay(SearchDriver.NoCatch, "30- 50- 60- 70- 80- 90- 100-"));
        Assert.Equal(Established(100), SearchDriver.Replay(SearchDriver.NoCatch, "30- 50- 60- 70- 80- 90- 100- 100+ 90- 95- 100+ 90- 95- 100+"));
    }

    private static SearchMove Established(double level) => new SearchMove.Finished(new ThresholdOutcome.Established(level));
}
