using System.Collections.Concurrent;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>What a noisy room does to whole sessions. Limits: ISO 8253-1:2010, Table 2 (supra-aural earphones, lowest test tone 250 Hz): 19 dB in the 250 Hz band, 18 dB in the 500 Hz band.</summary>
[Trait("Kind", "EndToEnd")]
public sealed class NoisyRoomTests(ITestOutputHelper output)
{
    private const double ExcessDb = 20;
    private const int Seed = 5;
    private static readonly (double MidbandHz, double LevelDbSpl)[] _noise = [(251.19, 19 + ExcessDb), (501.19, 18 + ExcessDb)];
    private static readonly int[] _hiddenHz = [250, 500];

    [Fact]
    public async Task ThresholdsHiddenByLowFrequencyNoiseComeOutAsLimitedByItAndNeverAsClean()
    {
        using var folder = new TempFolder();
        var room = folder.Inside("room.wav");
        NoisyRoom.Write(room, _noise, Seed);
        var found = new ConcurrentBag<(string Name, Ear Ear, int FrequencyHz, double TrueDbHl, ThresholdOutcome Outcome)>();

        await Parallel.ForEachAsync(
            StandardAudiograms.All.Keys,
            new ParallelOptions { MaxDegreeOfParallelism = 2, CancellationToken = TestContext.Current.CancellationToken },
            async (name, cancellationToken) =>
            {
                var rehearsed = await Rehearsed.Run(StandardAudiograms.ListenerCsv(name), Seed, ["--listener-sd", "2", "--room", room], cancellationToken);
                Assert.True(rehearsed.ExitCode == 0, $"{name}: exit {rehearsed.ExitCode}\n{rehearsed.Text}");
                foreach (var record in rehearsed.Thresholds)
                {
                    found.Add((name, record.Ear, record.FrequencyHz, StandardAudiograms.All[name][record.FrequencyHz], record.Outcome));
                }
            });

        foreach (var one in found.Where(one => one.Outcome is not ThresholdOutcome.Established).OrderBy(one => one.Name, StringComparer.Ordinal))
        {
            output.WriteLine($"{one.Name} {one.Ear} {one.FrequencyHz} Hz, true {one.TrueDbHl} dB HL: {one.Outcome}");
        }

        var hidden = found.Where(one => _hiddenHz.Contains(one.FrequencyHz) && one.TrueDbHl <= ExcessDb).ToList();
        Assert.Equal(16, hidden.Count);
        Assert.All(hidden, one => Assert.Equal(ExcessDb, Assert.IsType<ThresholdOutcome.NoiseLimited>(one.Outcome).BoundDbHl));

        // Well above the bound, and at every other frequency, the noise changes nothing.
        var clean = found.Where(one => !_hiddenHz.Contains(one.FrequencyHz) || one.TrueDbHl > ExcessDb + 5).ToList();
        Assert.All(clean, one => Assert.False(one.Outcome is ThresholdOutcome.NoiseLimited or ThresholdOutcome.NotEstablished, one.ToString()));
        Assert.All(clean, one => Assert.True(one.Outcome is not ThresholdOutcome.Established established || Math.Abs(established.LevelDbHl - one.TrueDbHl) <= 10, one.ToString()));
    }
}
