using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>Written sequences of a bracketing, worked by hand from ISO 8253-1:2010, 6.2.3 (the moves between ascents and descents from memory). Plus is heard, minus missed.</summary>
public sealed class BracketingReplayTests
{
    private static readonly SearchSettings _full = SearchDriver.NoCatch with { FamiliarisationStartDbHl = 40, Rule = StoppingRule.ThreeOfFive };
    private static readonly SearchSettings _short = _full with { Rule = StoppingRule.TwoOfThreeAscents };

    // Ascent to 35; up to 40, down to a miss at 30, so that the descent ended at 35; one lower to 25, and up again.
    private const string OnePair = "35+ 40+ 35+ 30- ";
    private const string Start = "40+ 30- ";

    [Fact]
    public void ThreeAscentsAndThreeDescentsAtOneLevelAreTheThreshold()
    {
        Assert.Equal(Established(35), Replay(_full, Start + OnePair + "25- 30- " + OnePair + "25- 30- " + OnePair));
        Assert.IsType<SearchMove.PresentTone>(Replay(_full, Start + OnePair + "25- 30- " + OnePair));
    }

    [Fact]
    public void TheShortFormNeedsTwoOfEach()
    {
        Assert.Equal(Established(35), Replay(_short, Start + OnePair + "25- 30- " + OnePair));
    }

    [Fact]
    public void TheThresholdIsTheMeanOfTheTwoMeans()
    {
        // Ascents end at 40, 35, 40, descents at 30, 30, 35: means 38.3 and 31.7, their mean 35.
        Assert.Equal(Established(35), Replay(_full, "40+ 30- 35- 40+ 45+ 40+ 35+ 30+ 25- 20- 25- 30- 35+ 40+ 35+ 30+ 25- 20- 25- 30- 35- 40+ 45+ 40+ 35+ 30-"));
    }

    [Fact]
    public void HalfAStepIsRoundedUpwards()
    {
        // Ascents 35 and 35, descents 30 and 30: 32.5, and the four ends lie within 5 dB.
        Assert.Equal(Established(35), Replay(_short, "40+ 30- 35+ 40+ 35+ 30+ 25- 20- 25- 30- 35+ 40+ 35+ 30+ 25-"));
    }

    [Fact]
    public void AShortFormWhoseEndsLieTenApartGoesOnToTheFullForm()
    {
        // Ascents 40 and 35, descents 30 and 30.
        const string four = "40+ 30- 35- 40+ 45+ 40+ 35+ 30+ 25- 20- 25- 30- 35+ 40+ 35+ 30+ 25- ";

        Assert.IsType<SearchMove.PresentTone>(Replay(_short, four));
        Assert.Equal(Established(35), Replay(_short, four + "20- 25- 30- 35+ 40+ 35+ 30-"));
    }

    [Fact]
    public void ASpanOfMoreThanTenIsRepeatedOnceAndThenKeptWithANote()
    {
        // Ascents 40, 35, 35, descents 25, 35, 35: the span is 15.
        const string wide = "35- 40+ 45+ 40+ 35+ 30+ 25+ 20- 15- 20- 25- 30- 35+ 40+ 35+ 30- 25- 30- 35+ 40+ 35+ 30- ";
        var search = new BracketingSearch(_full, new Random(1));
        SearchDriver.Replay(search, "40+ 30- " + wide);

        Assert.IsType<SearchMove.PresentTone>(search.Next);
        Assert.False(search.Doubtful);
        Assert.Equal(Established(35), SearchDriver.Replay(search, "25- 30- " + wide));
        Assert.True(search.Doubtful);
        Assert.Equal(15, search.SpanDb);
    }

    [Fact]
    public void ARaisedToneThatIsMissedIsRaisedAgain()
    {
        Assert.Equal(Tone(45), Replay(_full, "40+ 30- 35+ 40-"));
    }

    [Fact]
    public void AToneHeardOneStepBelowAMissIsNoEndOfAnAscent()
    {
        // 25 is heard although 30 was missed just before: the ascent begins lower.
        Assert.Equal(Tone(20), Replay(_full, Start + OnePair + "25+"));
    }

    private static SearchMove Replay(SearchSettings settings, string sequence) => SearchDriver.Replay(new BracketingSearch(settings, new Random(1)), sequence);

    private static SearchMove Established(double level) => new SearchMove.Finished(new ThresholdOutcome.Established(level));

    private static SearchMove Tone(double level) => new SearchMove.PresentTone(HearingLevel.FromDecibels(level), Ascending: false);
}
