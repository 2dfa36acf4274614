using System.Collections.Concurrent;
using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.EndToEnd.Tests.Rig;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>Whole sessions against listeners of known hearing: hub, site agent as its own process, sound samples, virtual ears, record.</summary>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class StandardAudiogramTests(ITestOutputHelper output)
{
    /// <summary>Acceptance of the method: agreement to 5 dB is what a repeated measurement is expected to give (ISO 8253-1:2010, 6.2.3, and the expanded uncertainty of its annex A).</summary>
    private const double AgreementDb = 5;

    private const double NeverOverDb = 10;
    private const double LeastShare = 0.97;

    /// <summary>One listener of each audiogram goes through real processes here, each with another seed; how often a search errs on thousands of ears is in docs/validation/population.md.</summary>
    private const int FirstSeed = 11;

    [Fact]
    public async Task ThresholdsOfTheTenStandardAudiogramsAreFoundWithinFiveDecibels()
    {
        var found = new ConcurrentBag<Found>();
        var runs = StandardAudiograms.All.Keys.Order(StringComparer.Ordinal).Select((name, index) => (Name: name, Seed: FirstSeed * (index + 1)));

        await Parallel.ForEachAsync(
            runs,
            new ParallelOptions { MaxDegreeOfParallelism = 2, CancellationToken = TestContext.Current.CancellationToken },
            async (run, cancellationToken) =>
            {
                var rehearsed = await Rehearsed.Run(StandardAudiograms.ListenerCsv(run.Name), run.Seed, ["--listener-sd", "2"], cancellationToken);
                Assert.True(rehearsed.ExitCode == 0, $"{run.Name}, seed {run.Seed}: exit {rehearsed.ExitCode}\n{rehearsed.Text}");
                foreach (var ear in Enum.GetValues<Ear>())
                {
                    foreach (var (frequencyHz, trueDbHl) in StandardAudiograms.All[run.Name])
                    {
                        var outcome = Assert.Single(rehearsed.Thresholds, record => record.Ear == ear && record.FrequencyHz == frequencyHz).Outcome;
                        found.Add(new Found(run.Name, run.Seed, ear, frequencyHz, trueDbHl, outcome));
                    }
                }
            });

        Report(found);
        Assert.Equal(StandardAudiograms.All.Sum(audiogram => audiogram.Value.Count) * 2, found.Count);
        Assert.All(found, one => Assert.True(one.IsAnswered, one.ToString()));
        Assert.All(found, one => Assert.True(one.ErrorDb <= NeverOverDb, one.ToString()));
        Assert.True(Share(found) >= LeastShare, string.Create(CultureInfo.InvariantCulture, $"Only {Share(found):P1} lie within {AgreementDb} dB."));
    }

    private static double Share(IReadOnlyCollection<Found> found) => found.Count(one => one.ErrorDb <= AgreementDb) / (double)found.Count;

    private void Report(IReadOnlyCollection<Found> found)
    {
        foreach (var audiogram in found.GroupBy(one => one.Audiogram).OrderBy(group => group.Key, StringComparer.Ordinal))
        {
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{audiogram.Key}: {audiogram.Count()} thresholds, {Share([.. audiogram]):P1} within {AgreementDb} dB, mean {audiogram.Average(one => one.SignedDb):+0.00;-0.00} dB, largest {audiogram.Max(one => one.ErrorDb):0.0} dB, no response {audiogram.Count(one => one.Outcome is ThresholdOutcome.NoResponseAtLimit)}"));
        }

        output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"all: {found.Count} thresholds, {Share(found):P2} within {AgreementDb} dB, mean {found.Average(one => one.SignedDb):+0.00;-0.00} dB, largest {found.Max(one => one.ErrorDb):0.0} dB"));
        foreach (var far in found.Where(one => one.ErrorDb > AgreementDb || !one.IsAnswered))
        {
            output.WriteLine(far.ToString());
        }
    }

    private sealed record Found(string Audiogram, int Seed, Ear Ear, int FrequencyHz, double TrueDbHl, ThresholdOutcome Outcome)
    {
        /// <summary>A threshold, or a true "no response" of an ear that hears nothing up to the limit.</summary>
        public bool IsAnswered => Outcome switch
        {
            ThresholdOutcome.Established => true,
            ThresholdOutcome.NoResponseAtLimit none => TrueDbHl > none.LimitDbHl - AgreementDb,
            _ => false,
        };

        public double SignedDb => Outcome is ThresholdOutcome.Established established ? established.LevelDbHl - TrueDbHl : 0;

        public double ErrorDb => Math.Abs(SignedDb);
    }
}
