using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;

namespace TeleHearing.Audiology.Tests.PureTone.Estimation;

public sealed class ThresholdEstimationTests
{
    private static readonly SearchSettings _search = new(StoppingRule.TwoOfThree, -10, 100, null);

    [Theory]
    [InlineData(-10)]
    [InlineData(0)]
    [InlineData(25)]
    [InlineData(55)]
    [InlineData(95)]
    public void ASureListenerIsFoundOnTheGrid(int threshold)
    {
        var (outcome, log, estimate) = Run(_search, SearchDriver.Hears(threshold));

        Assert.Equal(new ThresholdOutcome.Established(threshold), outcome);
        Assert.InRange(log.Count(step => step.ToneDbHl is not null), 3, 14);

        // Below the lowest level nothing can be asked: there the estimate may lie anywhere.
        Assert.InRange(estimate.MedianDbHl, threshold == -10 ? double.NegativeInfinity : threshold - 5, threshold);
        Assert.True(estimate.LowerDbHl <= threshold && estimate.UpperDbHl >= threshold - 5);
    }

    [Fact]
    public void ItBeginsWithClearlyAudibleTonesUntilOneIsHeard()
    {
        // 30, 50, then on by 10 dB HL (ASHA 2005, second hand and from memory).
        var (_, log, _) = Run(_search with { CatchRate = 0 }, SearchDriver.Hears(70));

        Assert.Equal([30, 50, 60, 70], log.Take(4).Select(step => step.ToneDbHl!.Value));
    }

    [Theory]
    [InlineData(100)]
    [InlineData(20)]
    [InlineData(-10)]
    public void SomeoneWhoNeverAnswersHasNoResponseAtTheLimit(double maximum)
    {
        var (outcome, log, _) = Run(_search with { MaximumDbHl = maximum }, _ => TrialAnswer.NotHeard);

        Assert.Equal(new ThresholdOutcome.NoResponseAtLimit(maximum), outcome);
        Assert.Equal(2, log.Count(step => step.ToneDbHl == maximum));
    }

    [Fact]
    public void SomeoneWhoAlwaysAnswersGetsNoThreshold()
    {
        for (var seed = 0; seed < 20; seed++)
        {
            var (outcome, _, _) = Run(_search, _ => TrialAnswer.Heard, seed);

            Assert.Contains("to silence", Assert.IsType<ThresholdOutcome.NotEstablished>(outcome).Reason, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void WithoutSilenceSomeoneWhoHearsEverythingGetsNoThreshold()
    {
        var (outcome, _, _) = Run(_search with { CatchRate = 0 }, _ => TrialAnswer.Heard);

        Assert.IsType<ThresholdOutcome.NotEstablished>(outcome);
    }

    [Fact]
    public void WhateverIsAnsweredItEndsInsideItsBoundsAndEveryKitWouldPlayIt() => Prop.ForAll(
        Gen.Choose(0, 1_000_000).ToArbitrary(),
        Gen.Elements(1, 2, 5).ToArbitrary(),
        Gen.Elements(60, 80, 100, 120).ToArbitrary(),
        (seed, step, maximum) =>
        {
            var random = new Random(seed);
            var bound = random.Next(3) == 0 ? random.Next(-20, 40) : (double?)null;
            var search = _search with { MaximumDbHl = maximum, RoomBoundDbHl = bound, StepDb = step, RestartsAfterInstruction = random.Next(2) };
            var weights = Enumerable.Range(0, 5).Select(_ => random.NextDouble()).ToArray();
            var (_, log, estimate) = Run(search, _ => (TrialAnswer)Pick(random, weights), seed);
            var kit = CeilingRules.Usual(TransducerKind.SupraAural);
            var frequency = AudiometricFrequency.FromHertz(1000);
            double? previous = null;
            foreach (var one in log)
            {
                if (one.ToneDbHl is not { } level)
                {
                    continue;
                }

                var request = new PresentationRequest(TransducerKind.SupraAural, frequency, HearingLevel.FromDecibels(level), 1000) { LoudConfirmed = true };
                if (kit.Check(request, previous) is not null || level < Math.Max(-10, bound ?? -10) || level > maximum || level % 1 != 0)
                {
                    return false;
                }

                previous = one.Answer == TrialAnswer.OtherVoid ? (previous is { } before ? Math.Min(before, level) : null) : level;
            }

            return double.IsFinite(estimate.MedianDbHl) && double.IsFinite(estimate.SdDb) && estimate.LowerDbHl <= estimate.MedianDbHl && estimate.MedianDbHl <= estimate.UpperDbHl;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void ARoomsBoundIsNeverUndercutAndLimitsTheResult()
    {
        var (outcome, log, _) = Run(_search with { RoomBoundDbHl = 15 }, SearchDriver.Hears(0));

        Assert.Equal(15, Assert.IsType<ThresholdOutcome.NoiseLimited>(outcome).BoundDbHl);
        Assert.All(log, step => Assert.True(step.ToneDbHl is null or >= 15));
    }

    [Fact]
    public void ALoudRoomIsRefusedBeforeATone()
    {
        var estimation = new ThresholdEstimation(new EstimateSettings(_search with { RoomBoundDbHl = 55 }, EstimatePrior.Wide), new Random(1));

        var finished = Assert.IsType<SearchMove.Finished>(estimation.Next);
        Assert.Contains("too loud", Assert.IsType<ThresholdOutcome.NotEstablished>(finished.Outcome).Reason, StringComparison.Ordinal);
        Assert.Throws<InvalidOperationException>(() => estimation.Record(TrialAnswer.Heard));
    }

    [Fact]
    public void NoiseAtLowLevelsRaisesTheFloor()
    {
        var (outcome, _, _) = Run(_search, move => move is SearchMove.PresentTone { Level.Decibels: < 20 } ? TrialAnswer.NoiseVoid : SearchDriver.Hears(5)(move));

        Assert.InRange(Assert.IsType<ThresholdOutcome.NoiseLimited>(outcome).BoundDbHl, 20, 30);
    }

    [Fact]
    public void AfterTheTaskIsExplainedAgainItBeginsAnew()
    {
        var instructed = false;
        var (outcome, log, _) = Run(_search with { RestartsAfterInstruction = 1 }, move =>
        {
            instructed |= move is SearchMove.Reinstruct;
            return instructed ? SearchDriver.Hears(35)(move) : TrialAnswer.Heard;
        });

        Assert.Equal(new ThresholdOutcome.Established(35), outcome);
        Assert.Single(log, step => step.Move is SearchMove.Reinstruct);
    }

    [Fact]
    public void AStricterStopTakesMoreTonesAndLeavesLessDoubt()
    {
        var (_, loose, wide) = Run(_search, SearchDriver.Hears(40), stopSdDb: 4);
        var (_, strict, narrow) = Run(_search with { StepDb = 1 }, SearchDriver.Hears(40), stopSdDb: 1);

        Assert.True(strict.Count > loose.Count);
        Assert.True(narrow.SdDb <= 1 && narrow.SdDb < wide.SdDb);
        Assert.Equal(40, narrow.MedianDbHl, 2.0);
    }

    [Fact]
    public void TheStandardSearchMayBeginAStepAboveTheInterval()
    {
        var estimate = new ThresholdEstimate(32, 28.4, 36.2, 0.9, 2.4);

        Assert.Equal(45, estimate.StartDbHl(-10, 100));
        Assert.Equal(40, estimate.StartDbHl(-10, 40));
        Assert.Equal(50, estimate.StartDbHl(50, 100));
        Assert.Throws<ArgumentException>(() => estimate.StartDbHl(41, 44));
        Assert.Throws<ArgumentException>(() => estimate.StartDbHl(double.NaN, 100));
    }

    [Fact]
    public void SettingsOutsideTheirRangeAreRefused()
    {
        var good = new EstimateSettings(_search, EstimatePrior.Wide);
        EstimateSettings[] bad =
        [
            good with { CredibleShare = 1 }, good with { StopSdDb = 0 }, good with { StopSdDb = double.NaN }, good with { LargestSdDb = 1 }, good with { MinimumTones = 0 },
            good with { MaximumTones = 2 }, good with { PreviousDbHl = double.NaN }, good with { Prior = new EstimatePrior([]) },
            good with { Prior = new EstimatePrior([new PriorPart(1, 20, 0)]) }, good with { Search = _search with { MaximumDbHl = 140 } },
        ];

        Assert.All(bad, settings => Assert.Throws<ArgumentOutOfRangeException>(() => new ThresholdEstimation(settings, new Random(1))));
    }

    private static int Pick(Random random, double[] weights)
    {
        var left = random.NextDouble() * weights.Sum();
        var index = 0;
        while (index < weights.Length - 1 && (left -= weights[index]) > 0)
        {
            index++;
        }

        return index;
    }

    private static (ThresholdOutcome Outcome, IReadOnlyList<Step> Log, ThresholdEstimate Estimate) Run(
        SearchSettings search, Func<SearchMove, TrialAnswer> answer, int seed = 1, double stopSdDb = 2.5)
    {
        var settings = new EstimateSettings(search, EstimatePrior.Wide) { StopSdDb = stopSdDb };
        var estimation = new ThresholdEstimation(settings with { LargestSdDb = Math.Max(settings.LargestSdDb, stopSdDb) }, new Random(seed));
        var (outcome, log) = SearchDriver.Run(estimation, answer);
        return (outcome, log, estimation.Estimate);
    }
}
