using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Sound.Tests.Support;

namespace TeleHearing.Sound.Tests;

/// <summary>What leaves the kit through a real sound server is, sample for sample, what was made.</summary>
public sealed class ExactSoundTests
{
    private static ToneSynthesizer Tone(double hertz, double dbFullScale, ToneShape shape = ToneShape.Steady, double durationMs = 600) =>
        new(new ToneSpec(hertz, Math.Pow(10, dbFullScale / 20), shape, durationMs, AudioFormat.SampleRateHz));

    private static Presentation Present(IStimulus? tone, Ear ear, IStimulus? masker = null) => new()
    {
        LeadFrames = 1234,
        BodyFrames = tone?.TotalFrames ?? 4800,
        TailFrames = 2400,
        Tone = tone,
        Ear = ear,
        Masker = masker,
        NeedsLease = true,
    };

    [Fact]
    public async Task EverySampleArrivesAsItWasMadeAndTheOtherEarIsExactlySilent()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        Presentation[] presentations =
        [
            Present(Tone(1000, -20), Ear.Left),
            Present(Tone(1000, -100), Ear.Right),
            Present(Tone(125, -3, ToneShape.Pulsed, 1000), Ear.Right),
            Present(Tone(16_000, -140), Ear.Left),
            Present(Tone(8000, 0), Ear.Left),
        ];

        var onsets = new List<long>();
        foreach (var presentation in presentations)
        {
            var result = await running.PresentAsync(presentation);
            Assert.Equal(PresentationEnd.Complete, result.End);
            onsets.Add(result.OnsetFrame);
        }

        var expected = new float[(onsets[^1] - onsets[0] + presentations[^1].BodyFrames) * AudioFormat.Channels];
        for (var index = 0; index < presentations.Length; index++)
        {
            Lay(presentations[index].Tone!, expected, onsets[index] - onsets[0], presentations[index].Ear);
        }

        await AssertHeardAsync(recording, expected);
    }

    [Fact]
    public async Task AMaskerSoundsInTheOtherEarThroughTheWholePresentation()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presentation = Present(Tone(2000, -30), Ear.Left, masker: Tone(500, -40, durationMs: 700));

        var result = await running.PresentAsync(presentation);

        Assert.Equal(PresentationEnd.Complete, result.End);
        var expected = new float[(presentation.LeadFrames + presentation.BodyFrames + presentation.TailFrames) * AudioFormat.Channels];
        Lay(presentation.Masker!, expected, 0, Ear.Right, presentation.TotalFrames);
        Lay(presentation.Tone!, expected, presentation.LeadFrames, Ear.Left);
        await AssertHeardAsync(recording, expected);
    }

    [Fact]
    public async Task APressIsTimedAgainstWhatSoundsNotAgainstWhatWasHandedOver()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await running.PresentAsync(Present(null, Ear.Left));

        // the server holds about the latency asked for, and the clock of presses lies by that much behind the clock of samples
        await Wait.UntilAsync(() => running.Engine.Frames - running.Engine.HeardFrames is > 24_000 and < 72_000);
        Assert.InRange(running.Engine.OutputLatencyMs, 500, 1500);
    }

    private static void Lay(IStimulus stimulus, float[] stereo, long start, Ear ear, long longest = long.MaxValue)
    {
        var mono = new float[Math.Min(stimulus.TotalFrames, longest)];
        stimulus.Render(0, mono);
        for (var index = 0; index < mono.Length; index++)
        {
            stereo[((start + index) * AudioFormat.Channels) + (ear == Ear.Left ? 0 : 1)] = mono[index];
        }
    }

    /// <summary>Lays both over each other at their first sample that is not silent, and compares every sample from there on.</summary>
    private static async Task AssertHeardAsync(Recording recording, float[] expected)
    {
        var first = Array.FindIndex(expected, sample => sample != 0);
        await Wait.UntilAsync(() => Array.FindIndex(recording.Samples(), sample => sample != 0) >= 0);
        await recording.MoreAsync(expected.Length / AudioFormat.Channels);
        var heard = recording.Samples();
        var at = Array.FindIndex(heard, sample => sample != 0) - first;

        Assert.Equal(first % 2, (at + first) % 2);
        var wrong = Enumerable.Range(first, expected.Length - first).Count(index => BitConverter.SingleToInt32Bits(heard[at + index] + 0f) != BitConverter.SingleToInt32Bits(expected[index] + 0f));
        Assert.Equal(0, wrong);
        Assert.All(heard.Skip(at + expected.Length), sample => Assert.Equal(0f, sample));
    }
}
