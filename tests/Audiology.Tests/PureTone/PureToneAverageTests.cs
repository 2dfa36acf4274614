using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Tests.Simulation;

namespace TeleHearing.Audiology.Tests.PureTone;

public sealed class PureToneAverageTests
{
    // Calculated from the standard audiograms (Bisgaard, Vlaming and Dahlquist 2010): mean of 0.5, 1, 2 and 4 kHz.
    [Theory]
    [InlineData("N3", 46.25)]
    [InlineData("S2", 48.75)]
    [InlineData("N2", 31.25)]
    public void FourFrequencyAveragesOfStandardAudiograms(string name, double averageDbHl)
    {
        var formed = Assert.IsType<AverageResult.Formed>(PureToneAverage.Of(PureToneAverage.Four, Outcomes(name)));

        Assert.Equal(averageDbHl, formed.LevelDbHl, 9);
        Assert.Empty(formed.NoResponseFrequenciesHz);
    }

    [Fact]
    public void AMissingFrequencyMeansNoAverage()
    {
        var outcomes = Outcomes("N3");
        outcomes.Remove(4000);

        Assert.Equal(new AverageResult.NotFormed("no threshold at 4000 Hz"), PureToneAverage.Of(PureToneAverage.Four, outcomes));
        Assert.IsType<AverageResult.Formed>(PureToneAverage.Of(PureToneAverage.Three, outcomes));
    }

    [Fact]
    public void WhatIsNoThresholdIsNeverAveraged()
    {
        var outcomes = Outcomes("N3");
        outcomes[500] = new ThresholdOutcome.NoiseLimited(30);
        outcomes[2000] = new ThresholdOutcome.NotEstablished("The person tired.");

        Assert.Equal(
            new AverageResult.NotFormed("threshold at 500 Hz hidden by room noise; no threshold at 2000 Hz"),
            PureToneAverage.Of(PureToneAverage.Four, outcomes));
    }

    [Fact]
    public void NoResponseCountsAsFiveAboveTheLimitAndIsMarked()
    {
        var outcomes = Outcomes("N3");
        outcomes[4000] = new ThresholdOutcome.NoResponseAtLimit(120);

        // 35 + 40 + 50 + 125 over 4 (limit + 5 dB: common practice).
        var formed = Assert.IsType<AverageResult.Formed>(PureToneAverage.Of(PureToneAverage.Four, outcomes));
        Assert.Equal(62.5, formed.LevelDbHl, 9);
        Assert.Equal([4000], formed.NoResponseFrequenciesHz);
    }

    [Fact]
    public void AnAverageLiesBetweenItsBestAndWorstThreshold() => Prop.ForAll(
        Gen.Choose(-2, 24).ListOf(4).ToArbitrary(),
        levels =>
        {
            var outcomes = PureToneAverage.Four.FrequenciesHz.Zip(levels)
                .ToDictionary(pair => pair.First, pair => (ThresholdOutcome)new ThresholdOutcome.Established(pair.Second * 5));
            return PureToneAverage.Of(PureToneAverage.Four, outcomes) is AverageResult.Formed formed
                && formed.LevelDbHl >= levels.Min() * 5 && formed.LevelDbHl <= levels.Max() * 5;
        }).QuickCheckThrowOnFailure();

    private static Dictionary<int, ThresholdOutcome> Outcomes(string name) =>
        StandardAudiograms.Points(name).ToDictionary(point => point.Frequency.Hertz, point => (ThresholdOutcome)new ThresholdOutcome.Established(point.DbHl));
}
