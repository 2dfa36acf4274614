using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

/// <summary>The estimate beside the standard search on the same people: a quick version of the figures in docs/validation/estimation.md.</summary>
public sealed class EstimateAccuracyTests
{
    [Fact]
    public void ItErrsNoMoreThanTheStandardSearchWithSixTenthsOfTheTonesAndItsIntervalsHold()
    {
        var (search, estimate) = EstimateAccuracy.Run(seed: 20, people: 100);

        var figures = $"search: {search}; estimate: {estimate}";
        Assert.True(estimate.SdDb <= search.SdDb && estimate.GridSdDb <= search.GridSdDb, figures);
        Assert.True(estimate.Tones <= 0.6 * search.Tones && estimate.Presentations <= 0.6 * search.Presentations, figures);
        Assert.True(estimate.CoveredShare is >= 0.87 and <= 0.93, figures);
        Assert.True(Math.Abs(estimate.GridMeanDb) <= 1 && Math.Abs(estimate.MedianMeanDb) <= 0.3, figures);
        Assert.True(estimate.NotEstablishedShare <= 0.003 && estimate.WrongNoResponseShare == 0, figures);
        Assert.True(estimate.WithinTenShare >= 0.999, figures);
    }

    [Fact]
    public void BesideTheFullRuleItIsAsCareful()
    {
        var (search, estimate) = EstimateAccuracy.Run(seed: 21, people: 100, rule: StoppingRule.ThreeOfFive);

        var figures = $"search: {search}; estimate: {estimate}";
        // Two in a hundred for the chance of a small sample; the long run has it below.
        Assert.True(estimate.SdDb <= 1.02 * search.SdDb && estimate.Tones <= 0.6 * search.Tones, figures);
        Assert.True(estimate.CoveredShare is >= 0.87 and <= 0.93, figures);
    }
}
