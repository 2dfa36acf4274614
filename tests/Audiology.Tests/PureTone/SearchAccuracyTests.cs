using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Audiology.Tests.Simulation;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>
/// How near the search comes to true thresholds: the ten standard audiograms of IEC 60118-15 at their audiometric frequencies, a listener with a cumulative
/// normal psychometric function of 2 dB spread and no lapses. Limits are the usual ones of an insert earphone.
/// </summary>
public sealed class SearchAccuracyTests(ITestOutputHelper output)
{
    private const int Seeds = 400;

    [Theory]
    [InlineData(StoppingRule.TwoOfThree)]
    [InlineData(StoppingRule.ThreeOfFive)]
    public void StandardAudiogramsAreFoundWithinFiveDecibels(StoppingRule rule)
    {
        var tally = new AccuracyTally();

        foreach (var name in StandardAudiograms.Levels.Keys)
        {
            foreach (var (frequency, truth) in StandardAudiograms.Points(name))
            {
                var limit = CalibrationRecords.Limit(TransducerKind.Insert, frequency);
                for (var seed = 0; seed < Seeds; seed++)
                {
                    var (outcome, tones) = Search(rule, limit, truth, seed);
                    tally.Add($"{name} {frequency}", truth, limit, outcome, tones);
                }
            }
        }

        output.WriteLine($"{rule}, search driven by the psychometric function: {tally}");
        tally.AssertGood();
    }

    private static (ThresholdOutcome Outcome, int Tones) Search(StoppingRule rule, double limit, double truth, int seed)
    {
        var psychometric = new PsychometricFunction(truth, sdDb: 2);
        var listener = new Random(seed);
        var search = new ThresholdSearch(new SearchSettings(rule, -10, limit, null), new Random(seed + 10_000));
        var tones = 0;
        while (true)
        {
            switch (search.Next)
            {
                case SearchMove.PresentTone tone:
                    tones++;
                    search.Record(listener.NextDouble() < psychometric.Probability(tone.Level.Decibels) ? TrialAnswer.Heard : TrialAnswer.NotHeard);
                    break;
                case SearchMove.PresentCatch:
                    search.Record(TrialAnswer.NotHeard);
                    break;
                case SearchMove.Finished finished:
                    return (finished.Outcome, tones);
            }
        }
    }
}
