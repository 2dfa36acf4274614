using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Tests.Simulation;

namespace TeleHearing.Audiology.Tests.PureTone;

/// <summary>The accuracy of the whole chain: search, level chain, synthesis, and a listener who hears the samples in a quiet room, with 2 dB spread and no lapses.</summary>
public sealed class SearchAccuracyThroughSoundTests(ITestOutputHelper output)
{
    [Theory]
    [InlineData(StoppingRule.TwoOfThree)]
    [InlineData(StoppingRule.ThreeOfFive)]
    public void StandardAudiogramsAreFoundWithinFiveDecibelsThroughSound(StoppingRule rule)
    {
        var tally = new AccuracyTally();

        foreach (var (name, index) in StandardAudiograms.Levels.Keys.Select((name, index) => (name, index)))
        {
            var rig = new Rig(StandardAudiograms.BothEars(name), seed: index + 1);
            foreach (var (frequency, truth) in StandardAudiograms.Points(name))
            {
                var limit = CalibrationRecords.Limit(TransducerKind.Insert, frequency);
                var ear = frequency.Hertz % 500 == 0 ? Ear.Right : Ear.Left;
                tally.Add($"{name} {frequency}", truth, limit, rig.Search(ear, frequency, new SearchSettings(rule, -10, limit, null), seed: frequency.Hertz), 0);
            }
        }

        output.WriteLine($"{rule}, through sound: {tally}");
        tally.AssertGood();
    }
}
