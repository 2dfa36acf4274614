using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>What holds for the ascending search and bracketing alike, with every step, whatever the answers.</summary>
public sealed class ProcedurePropertyTests
{
    private static readonly Gen<(ThresholdMethod Method, SearchSettings Settings, int Seed)> _cases =
        from method in Gen.Elements(ThresholdMethod.Ascending, ThresholdMethod.Bracketing)
        from rule in Gen.Elements(StoppingRule.TwoOfThree, StoppingRule.ThreeOfFive, StoppingRule.TwoOfThreeAscents)
        from step in Gen.Elements(1.0, 2.0, 5.0)
        from minimum in Gen.Choose(-10, 30)
        from span in Gen.Choose(5, 120)
        from bound in Gen.Choose(-30, 70)
        from known in Gen.Elements(true, false)
        from start in Gen.Choose(-40, 130)
        from restarts in Gen.Choose(0, 2)
        from catchRate in Gen.Elements(0, 0.2, 0.5)
        from seed in Gen.Choose(0, 1_000_000)
        select (
            method,
            new SearchSettings(rule, minimum, Math.Min(120, minimum + span), known ? bound : null)
            {
                StepDb = step,
                StartDbHl = start > 100 ? null : start,
                RestartsAfterInstruction = restarts,
                CatchRate = catchRate,
            },
            seed);

    [Fact]
    public void EveryProcedureEndsInsideItsBoundsWithoutSteepRises() => Prop.ForAll(_cases.ToArbitrary(), testCase =>
    {
        var (method, settings, seed) = testCase;
        var (_, log) = SearchDriver.Run(ThresholdProcedures.Begin(method, settings, new System.Random(seed)), Answers(seed));
        var tones = log.Select(step => step.ToneDbHl).OfType<double>().ToList();
        var lowest = Math.Max(settings.MinimumDbHl, settings.RoomBoundDbHl ?? -10);
        return tones.TrueForAll(level => level >= lowest && level >= -10 && level <= settings.MaximumDbHl && level % settings.StepDb == 0)
            && (tones.Count == 0 || tones[0] <= 50)
            && tones.Zip(tones.Skip(1)).All(pair => pair.Second <= 50 || pair.Second - pair.First <= 20)
            && log.Count(step => step.Answer is TrialAnswer.NoiseVoid or TrialAnswer.OtherVoid && step.ToneDbHl is not null) <= settings.MaximumVoids
            && log.Count(step => step.Move is SearchMove.Reinstruct) <= settings.RestartsAfterInstruction
            && log.Count(FalseResponse) <= settings.FalseResponseLimit * (1 + settings.RestartsAfterInstruction);
    }).Check(Config.QuickThrowOnFailure.WithMaxTest(3000));

    [Fact]
    public void AfterAResponseToSilenceTheNextSilenceIsLonger() => Prop.ForAll(_cases.ToArbitrary(), testCase =>
    {
        var (method, settings, seed) = testCase;
        var (_, log) = SearchDriver.Run(ThresholdProcedures.Begin(method, settings, new System.Random(seed)), Answers(seed));
        return log.Zip(log.Skip(1)).All(pair => !FalseResponse(pair.First) || pair.Second.Move is SearchMove.Reinstruct || Lengthened(pair.Second.Move))
            && log.Zip(log.Skip(1)).All(pair => pair.First.Answer is not (TrialAnswer.NotHeard or TrialAnswer.Heard) || FalseResponse(pair.First) || !Lengthened(pair.Second.Move));
    }).QuickCheckThrowOnFailure();

    [Theory]
    [InlineData(ThresholdMethod.Ascending)]
    [InlineData(ThresholdMethod.Bracketing)]
    public void TheThresholdOfASureListenerIsFoundWithinAStep(ThresholdMethod method) => Prop.ForAll(
        Gen.Elements(StoppingRule.TwoOfThree, StoppingRule.ThreeOfFive, StoppingRule.TwoOfThreeAscents).ToArbitrary(),
        Gen.Elements(1.0, 2.0, 5.0).ToArbitrary(),
        Gen.Choose(-90, 900).Select(tenths => tenths / 10.0).ToArbitrary(),
        (rule, step, threshold) =>
        {
            var settings = SearchDriver.NoCatch with { Rule = rule, StepDb = step };
            var (outcome, _) = SearchDriver.Run(ThresholdProcedures.Begin(method, settings, new System.Random(1)), SearchDriver.Hears(threshold));
            return outcome is ThresholdOutcome.Established { LevelDbHl: var level } && level >= threshold && level < threshold + step;
        }).Check(Config.QuickThrowOnFailure.WithMaxTest(1000));

    [Theory]
    [InlineData(ThresholdMethod.Ascending)]
    [InlineData(ThresholdMethod.Bracketing)]
    public void OneWhoNeverAnswersHasNoResponseAtTheLimit(ThresholdMethod method)
    {
        var (outcome, log) = SearchDriver.Run(ThresholdProcedures.Begin(method, SearchDriver.NoCatch, new System.Random(1)), _ => TrialAnswer.NotHeard);

        Assert.Equal(new ThresholdOutcome.NoResponseAtLimit(100), outcome);
        Assert.Equal(8, log.Count);
    }

    [Theory]
    [InlineData(ThresholdMethod.Ascending)]
    [InlineData(ThresholdMethod.Bracketing)]
    public void OneWhoAlwaysAnswersIsToldAgainOnceAndThenHasNoThresholdOrTheLowestIfNoSilenceCaughtThem(ThresholdMethod method)
    {
        // With a fine step down to the lowest level there is time enough for silences; a person who answers them all can be caught by every one.
        var settings = SearchDriver.NoCatch with { CatchRate = 0.5, CatchRateAfterFalseResponse = 0.5, FalseResponseLimit = 2, RestartsAfterInstruction = 1, Rule = StoppingRule.ThreeOfFive };
        var outcomes = Enumerable.Range(0, 300)
            .Select(seed => SearchDriver.Run(ThresholdProcedures.Begin(method, settings, new System.Random(seed)), _ => TrialAnswer.Heard))
            .ToList();

        Assert.All(outcomes, run => Assert.True(
            run.Outcome is ThresholdOutcome.NotEstablished { Reason: var reason } && reason.Contains("had been explained again", StringComparison.Ordinal)
            || (run.Outcome == new ThresholdOutcome.Established(-10) && run.Log.Count(FalseResponse) < 4)));
        Assert.Contains(outcomes, run => run.Outcome is ThresholdOutcome.NotEstablished);
    }

    [Theory]
    [InlineData(ThresholdMethod.Ascending)]
    [InlineData(ThresholdMethod.Bracketing)]
    public void WithoutCatchTrialsOneWhoAlwaysAnswersCannotBeToldFromOneWhoHearsTheLowestLevel(ThresholdMethod method)
    {
        var (outcome, _) = SearchDriver.Run(ThresholdProcedures.Begin(method, SearchDriver.NoCatch, new System.Random(1)), _ => TrialAnswer.Heard);

        Assert.Equal(new ThresholdOutcome.Established(-10), outcome);
    }

    [Fact]
    public void TheEstimateDoesNotBeginFromSettingsAlone()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => ThresholdProcedures.Begin(ThresholdMethod.Estimate, SearchDriver.NoCatch, new System.Random(1)));
    }

    private static bool FalseResponse(Step step) =>
        step.Answer == TrialAnswer.EarlyPress && step.Move is not SearchMove.Reinstruct || (step.Move is SearchMove.PresentCatch && step.Answer == TrialAnswer.Heard);

    private static bool Lengthened(SearchMove move) => move is SearchMove.PresentTone { LengthenGap: true } or SearchMove.PresentCatch { LengthenGap: true };

    // Answers of every kind at random, more often heard the louder the tone.
    private static Func<SearchMove, TrialAnswer> Answers(int seed)
    {
        var random = new System.Random(seed);
        var threshold = random.Next(-20, 130);
        var voids = random.Next(4) == 0 ? 0.4 : 0.05;
        var early = random.Next(4) == 0 ? 0.2 : 0.01;
        return move => random.NextDouble() switch
        {
            var chance when chance < voids / 2 => TrialAnswer.NoiseVoid,
            var chance when chance < voids => TrialAnswer.OtherVoid,
            var chance when chance < voids + early => TrialAnswer.EarlyPress,
            _ => random.NextDouble() < (move is SearchMove.PresentTone tone && tone.Level.Decibels >= threshold ? 0.85 : 0.1) ? TrialAnswer.Heard : TrialAnswer.NotHeard,
        };
    }
}
