using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

public sealed class TrialCounterTests
{
    private readonly TrialCounter _counter = new();

    [Fact]
    public void EveryKindOfTrialIsCountedOnce()
    {
        Tone(30, TrialAnswer.Heard);
        Tone(20, TrialAnswer.NotHeard);
        Tone(25, TrialAnswer.NoiseVoid);
        Tone(25, TrialAnswer.OtherVoid);
        Tone(25, TrialAnswer.EarlyPress);
        _counter.Add(Catch(25), TrialAnswer.Heard);
        _counter.Add(Catch(25), TrialAnswer.NotHeard);
        _counter.Add(Catch(25), TrialAnswer.NoiseVoid);
        _counter.Add(new SearchMove.Reinstruct("Again."), TrialAnswer.OtherVoid);

        var tally = _counter.Tally(12.5);

        Assert.Equal((2, 2, 1, 1, 2, 12.5, 1), (tally.Tones, tally.CatchTrials, tally.FalseResponses, tally.EarlyPresses, tally.NoiseVoids, tally.DurationSeconds, tally.Reinstructions));
    }

    [Fact]
    public void TheSpanIsThatOfAscentsThatEndedInAResponse()
    {
        Tone(60, TrialAnswer.Heard, ascending: false);
        Tone(35, TrialAnswer.Heard, ascending: true);
        Tone(30, TrialAnswer.NotHeard, ascending: true);
        Tone(45, TrialAnswer.Heard, ascending: true);

        Assert.Equal(10, _counter.Tally(0).AscentSpanDb);
    }

    [Fact]
    public void AscentsUnderDifferentMaskersAreNotCompared()
    {
        // A plateau that rises moves the threshold; that is no spread of answers.
        Masked(30, 20);
        Masked(35, 20);
        Masked(60, 40);
        Masked(60, 40);

        Assert.Equal(5, _counter.Tally(0).AscentSpanDb);
    }

    [Fact]
    public void ASearchCountsTheSpanOfTheSeriesThatCounts()
    {
        // ISO 8253-1:2010, 6.2.3: ascents end at 35, 40, 35.
        var search = new ThresholdSearch(SearchDriver.NoCatch with { FamiliarisationStartDbHl = 40 }, new Random(1));
        SearchDriver.Replay(search, "40+ 30- 35+ 25- 30- 35- 40+ 30- 35+");

        Assert.Equal(5, search.AscentSpanDb);
    }

    [Theory]
    [InlineData(0, 20, -2.5)]
    [InlineData(1, 20, 0.5)]
    [InlineData(5, 20, 4)]
    public void SilencesAloneArguePressingTheMoreTheyAreAnswered(int falseResponses, int catchTrials, double about)
    {
        // By hand, for the nearest cooperative listener: 0 of 20: 20 ln(0.8/0.995) = -4.4; 5 of 20: 5 ln(0.2/0.05) + 15 ln(0.8/0.95) = 4.4 (before the silences between).
        var evidence = ListenerEvidence.OfSilences(catchTrials, falseResponses, trials: 0, earlyPresses: 0).ForPressing;

        Assert.InRange(evidence, about - 2.5, about + 1);
    }

    [Fact]
    public void EvidenceAddsUpAndNothingIsEvidenceOfNothing()
    {
        var some = ListenerEvidence.OfSilences(10, 4, 50, 5);

        Assert.Equal(0, ListenerEvidence.None.ForPressing);
        Assert.Equal(some.ForPressing, some.And(ListenerEvidence.None).ForPressing, 12);
        Assert.Equal(ListenerEvidence.OfSilences(20, 8, 100, 10).ForPressing, some.And(some).ForPressing, 9);
    }

    [Fact]
    public void ScatteredAnswersArgueInconsistencyAndSharpOnesAgainstIt()
    {
        var sharp = new TrialCounter();
        var scattered = new TrialCounter();
        for (var i = 0; i < 4; i++)
        {
            sharp.Add(Presented(30), TrialAnswer.Heard);
            sharp.Add(Presented(20), TrialAnswer.NotHeard);
            scattered.Add(Presented(30), i % 2 == 0 ? TrialAnswer.Heard : TrialAnswer.NotHeard);
            scattered.Add(Presented(45), i % 2 == 0 ? TrialAnswer.NotHeard : TrialAnswer.Heard);
            scattered.Add(Presented(20), i % 2 == 0 ? TrialAnswer.Heard : TrialAnswer.NotHeard);
        }

        Assert.True(sharp.Tally(0).Evidence!.ForInconsistency < -2);
        Assert.True(scattered.Tally(0).Evidence!.ForInconsistency > 3);
    }

    private static SearchMove.PresentTone Presented(double level, bool ascending = false) => new(HearingLevel.FromDecibels(level), ascending);

    private static SearchMove.PresentCatch Catch(double level) => new(HearingLevel.FromDecibels(level));

    private void Tone(double level, TrialAnswer answer, bool ascending = false) => _counter.Add(Presented(level, ascending), answer);

    private void Masked(double level, double masker) => _counter.Add(Presented(level, ascending: true) with { MaskerDbEm = masker }, TrialAnswer.Heard);
}
