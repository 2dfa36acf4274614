using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

public sealed class ThresholdPosteriorTests
{
    private static readonly Gen<(int Level, bool Heard)[]> _sequences =
        (from step in Gen.Choose(-10, 120)
         from heard in Gen.Elements(true, false)
         select (step, heard)).NonEmptyListOf().Select(list => list.ToArray());

    [Fact]
    public void TheFastPosteriorIsThePlainOne()
    {
        var random = new Random(5);
        var posterior = Begun();
        var plain = new PlainPosterior(posterior.Grid, threshold => EstimatePrior.Wide.Density(threshold), ListenerBelief.Unknown.Weights);
        for (var trial = 0; trial < 12; trial++)
        {
            var (level, heard) = (random.Next(-10, 121), random.Next(2) == 0);
            posterior.AddTone(level, heard);
            plain.Add(level, heard);

            var tested = random.Next(-10, 121);
            Assert.Equal(plain.Information(tested), posterior.Information(tested), 1e-9);
            Assert.All(plain.Marginal().Zip(posterior.Marginal.ToArray()), pair => Assert.Equal(pair.First, pair.Second, 1e-9));
        }
    }

    [Fact]
    public void WhateverIsAnsweredProbabilitiesStayProbabilities() => Prop.ForAll(_sequences.ToArbitrary(), answers =>
    {
        var posterior = Begun();
        foreach (var (level, heard) in answers)
        {
            posterior.AddTone(level, heard);
        }

        var information = Enumerable.Range(-2, 27).Select(step => posterior.Information(5 * step)).ToList();
        var (mean, sd) = posterior.Moments(double.NegativeInfinity, double.PositiveInfinity);
        return Math.Abs(posterior.Marginal.ToArray().Sum() - 1) < 1e-9
            && information.TrueForAll(one => one is > -1e-12 and <= 0.6932)
            && double.IsFinite(mean) && double.IsFinite(sd)
            && posterior.Quantile(0.05) <= posterior.Quantile(0.5) && posterior.Quantile(0.5) <= posterior.Quantile(0.95);
    }).QuickCheckThrowOnFailure();

    [Fact]
    public void ThousandsOfAnswersDoNotWearItOut()
    {
        var posterior = Begun();
        for (var trial = 0; trial < 2000; trial++)
        {
            posterior.AddTone(40, heard: trial % 2 == 0);
            posterior.AddSilence(answered: false);
        }

        Assert.Equal(1, posterior.Marginal.ToArray().Sum(), 1e-9);
        Assert.Equal(40, posterior.Quantile(0.5), 0.6);
    }

    [Fact]
    public void SilenceSaysNothingOfTheThresholdUntilATonesAnswerDependsOnIt()
    {
        var posterior = Begun();
        var before = posterior.Marginal.ToArray();

        posterior.AddSilence(answered: true);

        Assert.All(before.Zip(posterior.Marginal.ToArray()), pair => Assert.Equal(pair.First, pair.Second, 1e-12));
    }

    [Fact]
    public void AnUpdateAndAChoiceAllocateNothing()
    {
        var posterior = Begun();
        posterior.AddTone(30, heard: true);
        var level = new TellingLevel(posterior, 1).Choose(-10, 120);
        var telling = new TellingLevel(posterior, 1);

        // A collection that another thread causes counts the rest of this thread's allocation window as used. What the code itself allocates, it allocates every time.
        Assert.Contains(Enumerable.Range(0, 10).Select(_ => Allocated()).ToList(), bytes => bytes == 0);

        long Allocated()
        {
            var before = GC.GetAllocatedBytesForCurrentThread();
            posterior.AddTone(level, heard: false);
            posterior.AddSilence(answered: false);
            telling.Choose(-10, 120);
            posterior.Quantile(0.5);
            posterior.Moments(-10, 120);
            return GC.GetAllocatedBytesForCurrentThread() - before;
        }
    }

    [Fact]
    public void WithEvenOddsAndNothingElseKnownTheMiddleTellsMost()
    {
        // Halving: for a sure listener the most telling question splits what is possible in two equal parts (Shannon 1948).
        var posterior = new ThresholdPosterior(EstimateGrid.Usual);
        var even = Enumerable.Range(0, posterior.Grid.Thresholds).Select(index => posterior.Grid.ThresholdDb(index) is > 0 and <= 80 ? 1.0 : 0).ToArray();
        var sure = new double[posterior.Grid.Listeners];
        sure[0] = 1;
        posterior.Begin(even, sure);

        Assert.Equal(40, new TellingLevel(posterior, 5).Choose(-10, 120));
        Assert.InRange(posterior.Information(40), 0.6, Math.Log(2));
        Assert.Equal(40.5, posterior.Quantile(0.5), 1e-6);
        Assert.Equal(4.5, posterior.Quantile(0.05), 1e-6);
    }

    private static ThresholdPosterior Begun()
    {
        var posterior = new ThresholdPosterior(EstimateGrid.Usual);
        var prior = Enumerable.Range(0, posterior.Grid.Thresholds).Select(index => EstimatePrior.Wide.Density(posterior.Grid.ThresholdDb(index))).ToArray();
        posterior.Begin(prior, ListenerBelief.Unknown.Weights);
        return posterior;
    }
}
