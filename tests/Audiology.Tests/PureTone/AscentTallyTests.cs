using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

public sealed class AscentTallyTests
{
    // ASHA 2005 (from memory): responses on at least half of the ascending presentations at a level, two at least.
    [Theory]
    [InlineData("++", true)]
    [InlineData("-++", true)]
    [InlineData("+-+", true)]
    [InlineData("+--+", true)]
    [InlineData("+", false)]
    [InlineData("+--", false)]
    [InlineData("+---+", false)]
    [InlineData("----++", false)]
    public void TheShortRuleWantsTwoAndAtLeastHalf(string presentations, bool met)
    {
        Assert.Equal(met, Met(StoppingRule.TwoOfThree, presentations));
    }

    // ISO 8253-1:2010, 6.2.3: three responses at one level.
    [Theory]
    [InlineData("+++", true)]
    [InlineData("+-+-+", true)]
    [InlineData("++", false)]
    [InlineData("+-+--", false)]
    public void TheFullRuleWantsThree(string presentations, bool met)
    {
        Assert.Equal(met, Met(StoppingRule.ThreeOfFive, presentations));
    }

    [Theory]
    [InlineData(StoppingRule.ThreeOfFive, 5)]
    [InlineData(StoppingRule.TwoOfThreeAscents, 3)]
    [InlineData(StoppingRule.TwoOfThree, null)]
    public void ASeriesFailsWithItsFifthAscentInTheFullFormItsThirdInTheShortAndElseNever(StoppingRule rule, int? failsWith)
    {
        // ISO 8253-1:2010, 6.2.3; ASHA 2005 (from memory) knows no series.
        var tally = new AscentTally(rule);
        for (var ascents = 1; ascents <= 6; ascents++)
        {
            tally.Add(30 + (5 * ascents), heard: true);
            Assert.Equal(ascents >= failsWith, tally.SeriesFailed);
        }

        Assert.Equal(25, tally.SpanDb);
        tally.BeginSeries();
        Assert.False(tally.SeriesFailed);
        Assert.Equal(0, tally.SpanDb);
    }

    [Theory]
    [InlineData("--", true)]
    [InlineData("-+-", true)]
    [InlineData("-", false)]
    [InlineData("-+-+", false)]
    [InlineData("", false)]
    public void MostlyMissedMeansTwiceAndMoreOftenThanHeard(string presentations, bool missed)
    {
        var tally = new AscentTally(StoppingRule.ThreeOfFive);
        foreach (var presentation in presentations)
        {
            tally.Add(100, presentation == '+');
        }

        Assert.Equal(missed, tally.MostlyMissedAt(100));
    }

    private static bool Met(StoppingRule rule, string presentations)
    {
        var tally = new AscentTally(rule);
        return presentations.Select(presentation => tally.Add(35, presentation == '+')).ToList()[^1];
    }
}
