using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>What holds for every search, whatever the answers.</summary>
public sealed class SearchPropertyTests
{
    private static readonly Gen<SearchSettings> _settings =
        from rule in Gen.Elements(StoppingRule.TwoOfThree, StoppingRule.ThreeOfFive)
        from minimum in Gen.Choose(-2, 6)
        from span in Gen.Choose(0, 26)
        from bound in Gen.Choose(-30, 70)
        from known in Gen.Elements(true, false)
        select new SearchSettings(rule, minimum * 5, Math.Min(120, (minimum + span) * 5), known ? bound : null);

    private static readonly Gen<(SearchSettings Settings, int Seed)> _cases =
        from settings in _settings
        from seed in Gen.Choose(0, 1_000_000)
        select (settings, seed);

    [Fact]
    public void EverySearchEndsInsideItsBoundsWithoutSteepRises() => Check((settings, log, _) =>
    {
        var tones = log.Select(step => step.ToneDbHl).OfType<double>().ToList();
        var lowest = Math.Max(settings.MinimumDbHl, settings.RoomBoundDbHl ?? -10);
        return tones.TrueForAll(level => level >= lowest && level >= -10 && level <= settings.MaximumDbHl && level % 5 == 0)
            && (tones.Count == 0 || tones[0] <= 50)
            && tones.Zip(tones.Skip(1)).All(pair => pair.Second <= 50 || pair.Second - pair.First <= 20)
            && tones.Count <= settings.MaximumPresentations + settings.MaximumVoids;
    });

    [Fact]
    public void AnEstablishedThresholdMeetsItsRuleWhenCountedAgain() => Check((settings, log, outcome) =>
    {
        if (outcome is not ThresholdOutcome.Established { LevelDbHl: var level })
        {
            return true;
        }

        // Counted from the log alone: valid tones, after the first response, reached 5 dB upwards from a miss. Lowest levels are another matter.
        var tones = log.Where(step => step.ToneDbHl is not null && step.Answer is TrialAnswer.Heard or TrialAnswer.NotHeard && step.Move is SearchMove.PresentTone).ToList();
        var ascending = tones.Skip(tones.FindIndex(step => step.Answer == TrialAnswer.Heard) + 1)
            .Where(step => step.Move is SearchMove.PresentTone { Ascending: true } && step.ToneDbHl == level)
            .ToList();
        var heard = ascending.Count(step => step.Answer == TrialAnswer.Heard);
        var onlyAfterMisses = tones.Zip(tones.Skip(1)).All(pair =>
            pair.Second.Move is not SearchMove.PresentTone { Ascending: true }
            || (pair.First.Answer == TrialAnswer.NotHeard && pair.First.ToneDbHl < pair.Second.ToneDbHl)
            || pair.Second.ToneDbHl <= LowestAllowed(settings, log));
        return onlyAfterMisses && tones[^1].ToneDbHl == level && tones[^1].Answer == TrialAnswer.Heard
            && (settings.Rule == StoppingRule.TwoOfThree ? heard >= 2 && 2 * heard >= ascending.Count : heard >= 3);
    });

    [Fact]
    public void TheSameSeedAndAnswersGiveTheSameSearch() => Prop.ForAll(_cases.ToArbitrary(), testCase =>
    {
        var first = Run(testCase.Settings, testCase.Seed);
        var second = Run(testCase.Settings, testCase.Seed);
        return first.Outcome == second.Outcome && first.Log.SequenceEqual(second.Log);
    }).QuickCheckThrowOnFailure();

    [Fact]
    public void AWorseListenerNeverGetsABetterThreshold() => Prop.ForAll(
        Gen.Elements(StoppingRule.TwoOfThree, StoppingRule.ThreeOfFive).ToArbitrary(),
        Gen.Choose(-10, 110).ToArbitrary(),
        Gen.Choose(0, 40).ToArbitrary(),
        (rule, threshold, worse) => Level(rule, threshold + worse) >= Level(rule, threshold)).QuickCheckThrowOnFailure();

    private static double Level(StoppingRule rule, double threshold) =>
        SearchDriver.Run(SearchDriver.NoCatch with { Rule = rule }, SearchDriver.Hears(threshold)).Outcome switch
        {
            ThresholdOutcome.Established established => established.LevelDbHl,
            ThresholdOutcome.NoResponseAtLimit limit => limit.LimitDbHl + 5,
            var other => throw new InvalidOperationException($"A sure listener got {other}."),
        };

    private static double LowestAllowed(SearchSettings settings, IReadOnlyList<Step> log) => Math.Max(
        Math.Max(settings.MinimumDbHl, Math.Ceiling((settings.RoomBoundDbHl ?? -10) / 5) * 5),
        log.Where(step => step.Answer == TrialAnswer.NoiseVoid).Select(step => step.ToneDbHl + 5 ?? -10).DefaultIfEmpty(-10).Max());

    private static void Check(Func<SearchSettings, IReadOnlyList<Step>, ThresholdOutcome, bool> holds) =>
        Prop.ForAll(_cases.ToArbitrary(), testCase =>
        {
            var (outcome, log) = Run(testCase.Settings, testCase.Seed);
            return holds(testCase.Settings, log, outcome);
        }).Check(Config.QuickThrowOnFailure.WithMaxTest(2000));

    // Answers of every kind at random, more often heard the louder the tone.
    private static (ThresholdOutcome Outcome, IReadOnlyList<Step> Log) Run(SearchSettings settings, int seed)
    {
        var random = new System.Random(seed);
        var threshold = random.Next(-20, 130);
        var voids = random.Next(4) == 0 ? 0.4 : 0.05;
        return SearchDriver.Run(
            settings,
            move => random.NextDouble() < voids
                ? (random.Next(2) == 0 ? TrialAnswer.NoiseVoid : TrialAnswer.OtherVoid)
                : random.NextDouble() < (move is SearchMove.PresentTone tone && tone.Level.Decibels >= threshold ? 0.85 : 0.1)
                    ? TrialAnswer.Heard
                    : TrialAnswer.NotHeard,
            seed);
    }
}
