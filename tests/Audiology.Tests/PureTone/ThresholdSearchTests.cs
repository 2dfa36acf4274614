using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

public sealed class ThresholdSearchTests
{
    private static readonly SearchSettings _settings = SearchDriver.NoCatch;

    [Theory]
    [InlineData(StoppingRule.TwoOfThree)]
    [InlineData(StoppingRule.ThreeOfFive)]
    public void ASureListenerGetsTheLevelAtOrJustAboveTheThreshold(StoppingRule rule)
    {
        for (var threshold = -9.0; threshold <= 100; threshold += 0.5)
        {
            var (outcome, _) = SearchDriver.Run(_settings with { Rule = rule }, SearchDriver.Hears(threshold));

            Assert.Equal(new ThresholdOutcome.Established(Math.Ceiling(threshold / 5) * 5), outcome);
        }
    }

    [Fact]
    public void HearingBetterThanTheLowestLevelIsEstablishedThere()
    {
        var (outcome, log) = SearchDriver.Run(_settings, SearchDriver.Hears(-25));

        Assert.Equal(new ThresholdOutcome.Established(-10), outcome);
        Assert.Equal(2, log.Count(step => step.ToneDbHl == -10));
        Assert.All(log.Where(step => step.ToneDbHl == -10), step => Assert.True(((SearchMove.PresentTone)step.Move).Ascending));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(20)]
    public void FoundAtTheRoomsBoundIsLimitedByNoise(double threshold)
    {
        var (outcome, log) = SearchDriver.Run(_settings with { RoomBoundDbHl = 20 }, SearchDriver.Hears(threshold));

        Assert.Equal(new ThresholdOutcome.NoiseLimited(20), outcome);
        Assert.All(log, step => Assert.True(step.ToneDbHl >= 20));
    }

    [Fact]
    public void FoundAStepAboveTheBoundOfARoomOverTheLimitsIsStillLimitedByNoise()
    {
        Assert.Equal(new ThresholdOutcome.NoiseLimited(25), SearchDriver.Run(_settings with { RoomBoundDbHl = 20 }, SearchDriver.Hears(21)).Outcome);
    }

    [Theory]
    [InlineData(20, 26, 30)]
    [InlineData(0, 1, 5)]
    public void FoundClearlyAboveTheBoundOrInARoomWithinTheLimitsIsEstablished(double boundDbHl, double threshold, double foundDbHl)
    {
        Assert.Equal(new ThresholdOutcome.Established(foundDbHl), SearchDriver.Run(_settings with { RoomBoundDbHl = boundDbHl }, SearchDriver.Hears(threshold)).Outcome);
    }

    [Fact]
    public void ABoundOffTheStepIsRoundedUp()
    {
        Assert.Equal(new ThresholdOutcome.NoiseLimited(25), SearchDriver.Run(_settings with { RoomBoundDbHl = 20.5 }, SearchDriver.Hears(0)).Outcome);
    }

    [Fact]
    public void ABoundAtTheLowestLevelHidesNothing()
    {
        Assert.Equal(new ThresholdOutcome.Established(-10), SearchDriver.Run(_settings with { RoomBoundDbHl = -10 }, SearchDriver.Hears(-20)).Outcome);
    }

    [Fact]
    public void ARoomTooLoudToBeginInIsNotTested()
    {
        var (outcome, log) = SearchDriver.Run(_settings with { RoomBoundDbHl = 55 }, SearchDriver.Hears(0));

        Assert.Contains("room is too loud", Assert.IsType<ThresholdOutcome.NotEstablished>(outcome).Reason, StringComparison.Ordinal);
        Assert.Empty(log);
    }

    [Fact]
    public void ASpoiledPresentationIsRepeatedAsItWas()
    {
        var search = new ThresholdSearch(_settings, new Random(1));
        search.Record(TrialAnswer.Heard);
        search.Record(TrialAnswer.NotHeard);
        var ascending = new SearchMove.PresentTone(HearingLevel.FromDecibels(25), Ascending: true);

        Assert.Equal(ascending, search.Next);
        search.Record(TrialAnswer.NoiseVoid);
        Assert.Equal(ascending, search.Next);
        search.Record(TrialAnswer.OtherVoid);
        Assert.Equal(ascending, search.Next);
    }

    [Fact]
    public void NoiseThatSpoilsALevelThreeTimesRaisesTheBoundAndTheResultIsOneThatWasHeard()
    {
        // Noise during the search hides everything below 20 dB HL; the person hears from 0 on.
        var (outcome, log) = SearchDriver.Run(_settings, move =>
            move is SearchMove.PresentTone tone && tone.Level.Decibels < 20 ? TrialAnswer.NoiseVoid : SearchDriver.Hears(0)(move));

        Assert.Equal(new ThresholdOutcome.NoiseLimited(20), outcome);
        Assert.Equal(3, log.Count(step => step.ToneDbHl == 10));
        Assert.Equal(2, log.Count(step => step.ToneDbHl == 20 && step.Answer == TrialAnswer.Heard && step.Move is SearchMove.PresentTone { Ascending: true }));
    }

    [Fact]
    public void ThreeSpoiledPresentationsSpreadOverASearchHideNothing()
    {
        var count = 0;
        var (outcome, _) = SearchDriver.Run(
            _settings,
            move => ++count % 2 == 0 ? TrialAnswer.NoiseVoid : SearchDriver.Hears(12)(move));

        Assert.Equal(new ThresholdOutcome.Established(15), outcome);
    }

    [Fact]
    public void NoiseWithoutEndEndsTheSearch()
    {
        var (outcome, log) = SearchDriver.Run(_settings, _ => TrialAnswer.NoiseVoid);

        Assert.Contains("Noise", Assert.IsType<ThresholdOutcome.NotEstablished>(outcome).Reason, StringComparison.Ordinal);
        Assert.True(log.Count <= _settings.MaximumVoids);
    }

    [Fact]
    public void PresentationsBrokenOffWithoutEndEndTheSearch()
    {
        Assert.IsType<ThresholdOutcome.NotEstablished>(SearchDriver.Run(_settings, _ => TrialAnswer.OtherVoid).Outcome);
    }

    [Fact]
    public void ResponsesWithoutSystemEndWithoutAThreshold()
    {
        // One answer in three is a response, whatever the level.
        var random = new Random(4);
        var outcomes = Enumerable.Range(0, 200)
            .Select(seed => SearchDriver.Run(_settings with { Rule = StoppingRule.ThreeOfFive, MaximumPresentations = 20 }, _ => random.Next(3) == 0 ? TrialAnswer.Heard : TrialAnswer.NotHeard, seed).Outcome)
            .ToList();

        Assert.Contains(outcomes, outcome => outcome is ThresholdOutcome.NotEstablished { Reason: var reason } && reason.Contains("20 presentations", StringComparison.Ordinal));
    }

    [Fact]
    public void AboutOneTrialInSixIsACatchTrialAndNeverTwoInARow()
    {
        var moves = Enumerable.Range(0, 400)
            .SelectMany(seed => SearchDriver.Run(_settings with { CatchRate = 1.0 / 6 }, SearchDriver.Hears(35), seed).Log)
            .Select(step => step.Move)
            .ToList();
        var catches = moves.Count(move => move is SearchMove.PresentCatch);

        Assert.InRange((double)catches / (moves.Count - catches), 0.11, 0.18);
        Assert.DoesNotContain(moves.Zip(moves.Skip(1)), pair => pair is (SearchMove.PresentCatch, SearchMove.PresentCatch));
    }

    [Fact]
    public void CatchTrialsDoNotChangeTheThresholdOrWhatCounts()
    {
        foreach (var seed in Enumerable.Range(0, 100))
        {
            var (outcome, log) = SearchDriver.Run(_settings with { CatchRate = 0.5 }, SearchDriver.Hears(35), seed);

            Assert.Equal(SearchDriver.Run(_settings, SearchDriver.Hears(35)).Outcome, outcome);
            Assert.Equal(
                SearchDriver.Run(_settings, SearchDriver.Hears(35)).Log.Select(step => step.Move),
                log.Select(step => step.Move).OfType<SearchMove.PresentTone>());
        }
    }

    [Fact]
    public void AThirdFalseResponseEndsTheSearch()
    {
        var (outcome, log) = SearchDriver.Run(
            _settings with { CatchRate = 0.5, Rule = StoppingRule.ThreeOfFive },
            move => move is SearchMove.PresentCatch ? TrialAnswer.Heard : SearchDriver.Hears(35)(move));

        Assert.Contains("responded 3 times to silence", Assert.IsType<ThresholdOutcome.NotEstablished>(outcome).Reason, StringComparison.Ordinal);
        Assert.Equal(3, log.Count(step => step.Move is SearchMove.PresentCatch));
    }

    [Fact]
    public void AFinishedSearchTakesNothingMore()
    {
        var search = new ThresholdSearch(_settings with { RoomBoundDbHl = 60 }, new Random(1));

        Assert.Throws<InvalidOperationException>(() => search.Record(TrialAnswer.Heard));
    }

    [Fact]
    public void SettingsOutsideTheirRangesAreRefused()
    {
        SearchSettings[] wrong =
        [
            _settings with { MinimumDbHl = -15 },
            _settings with { MinimumDbHl = double.NaN },
            _settings with { MaximumDbHl = double.NaN },
            _settings with { MaximumDbHl = -20 },
            _settings with { RoomBoundDbHl = double.NaN },
            _settings with { UpDb = 0 },
            _settings with { DownDb = 7 },
            _settings with { FamiliarisationStepDb = 25 },
            _settings with { FamiliarisationSecondDbHl = 60 },
            _settings with { CatchRate = 1 },
            _settings with { MaximumVoids = 0 },
        ];

        Assert.All(wrong, settings => Assert.Throws<ArgumentOutOfRangeException>(() => new ThresholdSearch(settings, new Random(1))));
    }
}
