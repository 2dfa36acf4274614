using System.Collections.Concurrent;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.EndToEnd.Tests.Rig;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests;

/// <summary>What a noisy room does to whole sessions.</summary>
/// <remarks>
/// Limits for the simulated kit's circumaural earphones, ISO 8253-1:2010: Table 2 (supra-aural, lowest test tone 250 Hz) raised by the difference of the
/// attenuations of Table 3 (11.1): 19 + (16 - 5) = 30 dB in the 250 Hz band, 18 + (23 - 7) = 34 dB in the 500 Hz band.
/// </remarks>
[Collection(Alone.Name)]
[Trait("Kind", "EndToEnd")]
public sealed class NoisyRoomTests(ITestOutputHelper output)
{
    private const double ExcessDb = 20;
    private const double StepDb = 5;
    private const int Seed = 5;

    /// <summary>Half a decibel short of the 20 dB, so that the rounding up to the 5 dB step does not hang on a tenth of measuring error.</summary>
    private const double ShortDb = 0.5;

    private static readonly (int MidbandHz, double LevelDbSpl)[] _noise = [(251, 30 + ExcessDb - ShortDb), (501, 34 + ExcessDb - ShortDb)];
    private static readonly int[] _hiddenHz = [250, 500];

    /// <summary>Two whose low frequencies lie below the bound, and two whose do not: one that falls slowly and one that falls steeply.</summary>
    private static readonly string[] _listeners = ["N1", "S1", "N3", "S3"];

    [Fact]
    public async Task ThresholdsHiddenByLowFrequencyNoiseComeOutAsLimitedByItAndNeverAsClean()
    {
        using var folder = new TempFolder();
        var room = folder.Inside("room.wav");
        NoisyRoom.Write(room, _noise);
        var found = new ConcurrentBag<(string Name, Ear Ear, int FrequencyHz, double TrueDbHl, ThresholdOutcome Outcome)>();

        await Parallel.ForEachAsync(
            _listeners,
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

        // Better than the bound: N1 and S1, both ears. By chance a search ends one step above the bound; it is limited there too.
        var hidden = found.Where(one => _hiddenHz.Contains(one.FrequencyHz) && one.TrueDbHl < ExcessDb).ToList();
        Assert.Equal(8, hidden.Count);
        var bounds = hidden.ConvertAll(one => one.Outcome is ThresholdOutcome.NoiseLimited limited ? limited.BoundDbHl : throw new Xunit.Sdk.XunitException($"Not limited by noise: {one}"));
        Assert.All(bounds, bound => Assert.InRange(bound, ExcessDb, ExcessDb + StepDb));
        Assert.True(bounds.Count(bound => bound == ExcessDb) >= 5, $"Bounds: {string.Join(", ", bounds)}");

        Assert.DoesNotContain(found, one => _hiddenHz.Contains(one.FrequencyHz) && one.Outcome is ThresholdOutcome.Established { LevelDbHl: <= ExcessDb + StepDb });

        // Well above the bound, and at every other frequency, the noise changes nothing.
        var clean = found.Where(one => !_hiddenHz.Contains(one.FrequencyHz) || one.TrueDbHl > ExcessDb + StepDb).ToList();
        Assert.All(clean, one => Assert.False(one.Outcome is ThresholdOutcome.NoiseLimited or ThresholdOutcome.NotEstablished, one.ToString()));
        Assert.All(clean, one => Assert.True(one.Outcome is not ThresholdOutcome.Established established || Math.Abs(established.LevelDbHl - one.TrueDbHl) <= 10, one.ToString()));
    }
}
