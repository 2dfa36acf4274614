using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

public sealed class EarEstimationTests
{
    private static readonly SearchSettings _search = new(StoppingRule.TwoOfThree, -10, 100, null) { CatchRate = 0 };

    [Fact]
    public void WhatOneFrequencyTaughtSavesTonesAtTheNext()
    {
        var whole = new EarEstimation(50, Sex.Female);
        var first = Tones(whole, Ear.Right, 1000, 60);
        var second = Tones(whole, Ear.Right, 2000, 60);
        var otherEar = Tones(whole, Ear.Left, 1000, 60);

        Assert.True(second < first && otherEar < first, $"{first}, {second}, {otherEar}");
        Assert.Equal(3, whole.Known.Count + 1);
    }

    [Fact]
    public void ASteepAudiogramIsNotBentTowardsItsNeighbours()
    {
        // Standard audiogram S2 (Bisgaard, Vlaming and Dahlquist 2010, Trends Amplif 14:113): 25 dB HL at 1 kHz, 55 at 2, 75 at 3, 95 at 4.
        var whole = new EarEstimation(30, Sex.Male);

        foreach (var (hertz, threshold) in new[] { (1000, 25), (2000, 55), (3000, 75), (4000, 95) })
        {
            var estimation = whole.Begin(Ear.Right, AudiometricFrequency.FromHertz(hertz), _search, new Random(1));
            Assert.Equal(new ThresholdOutcome.Established(threshold), SearchDriver.Run(estimation, SearchDriver.Hears(threshold)).Outcome);
        }
    }

    [Fact]
    public void ARepeatDoesNotStartFromItsOwnFirstResult()
    {
        var whole = new EarEstimation(null, null);
        var before = whole.PriorFor(Ear.Right, AudiometricFrequency.FromHertz(1000));
        Tones(whole, Ear.Right, 1000, 60);
        Tones(whole, Ear.Right, 1000, 60);

        Assert.Equal(before, whole.PriorFor(Ear.Right, AudiometricFrequency.FromHertz(1000)));
        Assert.Single(whole.Known);
    }

    [Fact]
    public void AThresholdOfTheStandardSearchCountsToo()
    {
        var whole = new EarEstimation(null, null);
        whole.Add(new Measurement(Ear.Right, ConductionRoute.Air, 2000, new ThresholdOutcome.Established(70)));
        whole.Add(new Measurement(Ear.Right, ConductionRoute.Air, 3000, new ThresholdOutcome.NotEstablished("x")));

        Assert.Equal(new KnownThreshold(Ear.Right, 2000, 70, 3), Assert.Single(whole.Known));
        Assert.InRange(whole.PriorFor(Ear.Right, AudiometricFrequency.FromHertz(1500)).MeanDbHl, 55, 75);
    }

    [Fact]
    public void OneEstimateIsFinishedBeforeTheNextBegins()
    {
        var whole = new EarEstimation(null, null);
        var estimation = whole.Begin(Ear.Right, AudiometricFrequency.FromHertz(1000), _search, new Random(1));

        Assert.Throws<InvalidOperationException>(() => whole.Begin(Ear.Right, AudiometricFrequency.FromHertz(2000), _search, new Random(1)));

        SearchDriver.Run(estimation, SearchDriver.Hears(20));
        var kept = estimation.Estimate;
        Tones(whole, Ear.Right, 2000, 80);
        Assert.Equal(kept, estimation.Estimate);
    }

    [Fact]
    public void WhereNothingWasEstablishedNothingIsTaughtAndTheTaskIsShownAgain()
    {
        var whole = new EarEstimation(null, null);
        SearchDriver.Run(whole.Begin(Ear.Right, AudiometricFrequency.FromHertz(1000), _search, new Random(1)), _ => TrialAnswer.OtherVoid);
        var next = whole.Begin(Ear.Right, AudiometricFrequency.FromHertz(2000), _search, new Random(1));

        Assert.Empty(whole.Known);
        Assert.Equal(30, Assert.IsType<SearchMove.PresentTone>(next.Next).Level.Decibels);
    }

    [Fact]
    public void AnEarOfResponsesByChanceShowsItself()
    {
        var shown = 0;
        for (var seed = 0; seed < 40; seed++)
        {
            var random = new Random(seed);
            var whole = new EarEstimation(null, null);
            shown += new[] { 1000, 2000, 3000, 4000, 6000, 8000, 500, 250 }.Count(hertz =>
                SearchDriver.Run(
                    whole.Begin(Ear.Right, AudiometricFrequency.FromHertz(hertz), _search with { CatchRate = 1.0 / 6 }, random),
                    _ => random.Next(2) == 0 ? TrialAnswer.Heard : TrialAnswer.NotHeard).Outcome is ThresholdOutcome.NotEstablished) >= 2 ? 1 : 0;
        }

        Assert.InRange(shown, 38, 40);
    }

    private static int Tones(EarEstimation whole, Ear ear, int hertz, double threshold)
    {
        var estimation = whole.Begin(ear, AudiometricFrequency.FromHertz(hertz), _search, new Random(1));
        return SearchDriver.Run(estimation, SearchDriver.Hears(threshold)).Log.Count(step => step.ToneDbHl is not null);
    }
}
