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

    [Fact]
    public void ASeriesFailsWithItsFifthAscentUnderTheFullRuleOnly()
    {
        foreach (var rule in Enum.GetValues<StoppingRule>())
        {
            var tally = new AscentTally(rule);
            foreach (var end in new[] { 30, 35, 40, 45 })
            {
                tally.Add(end, heard: true);
                Assert.False(tally.SeriesFailed);
            }

            tally.Add(50, heard: true);
            Assert.Equal(rule == StoppingRule.ThreeOfFive, tally.SeriesFailed);
            tally.BeginSeries();
            Assert.False(tally.SeriesFailed);
        }
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
