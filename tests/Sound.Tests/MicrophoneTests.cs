using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Pulse;
using TeleHearing.Sound.Tests.Support;

namespace TeleHearing.Sound.Tests;

/// <summary>A microphone of a real sound server: here it hears what the output plays.</summary>
public sealed class MicrophoneTests
{
    private const string Monitor = $"{PulseDevice.Prefix}{SoundServer.Sink}.monitor";

    [Fact]
    public async Task AToneIsHeardAtItsLevelWhileItSounds()
    {
        await using var server = await SoundServer.StartAsync();
        var input = PulseInput.Open(Monitor, 120, server.Settings(), TimeProvider.System);
        await using var running = new RunningEngine(server.Open(latencyMs: 400), input);
        var tone = new ToneSynthesizer(new ToneSpec(1000, 0.1, ToneShape.Steady, 2000, AudioFormat.SampleRateHz));
        var room = new Heard();

        var result = await running.PresentAsync(new Presentation { LeadFrames = 48_000, BodyFrames = tone.TotalFrames, TailFrames = 48_000, Tone = tone, Ear = Ear.Left, NeedsLease = true, Room = room });

        Assert.Equal(PresentationEnd.Complete, result.End);
        Assert.Equal(120, input.SplAtRmsOneDb);
        // the middle second of the tone; the blocks are placed to a few of them
        var middle = room.Blocks.Where(block => block.Frame is >= 24_000 and < 72_000).SelectMany(block => block.Samples).ToArray();
        Assert.InRange(middle.Length, 40_000, 56_000);
        Assert.Equal(-20, SineFit.Fit(middle.AsSpan(0, 4800), AudioFormat.SampleRateHz, 1000).LevelDb, 0.01);
        Assert.All(room.Blocks.Where(block => block.Frame < -24_000).SelectMany(block => block.Samples), sample => Assert.Equal(0f, sample));
    }

    [Theory]
    [InlineData("muted", "set-source-mute", "kit.monitor", "1")]
    [InlineData("150 %", "set-source-volume", "kit.monitor", "150%")]
    public async Task AMovedMicrophoneEndsWhatIsPresented(string words, params string[] change)
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open(latencyMs: 400), PulseInput.Open(Monitor, 120, server.Settings(), TimeProvider.System));
        var listening = running.PresentAsync(new Presentation { LeadFrames = 0, BodyFrames = AudioFormat.FramesOf(60_000), TailFrames = 0, NeedsLease = false });

        await server.ControlAsync(change);
        var result = await listening;

        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Contains(words, result.Fault!.Sentence, StringComparison.Ordinal);
        Assert.Contains("microphone", result.Fault.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AMicrophoneThatIsNotThereIsRefused()
    {
        await using var server = await SoundServer.StartAsync();

        var fault = Assert.Throws<DeviceFaultException>(() => PulseInput.Open("pulse:elsewhere", 120, server.Settings(), TimeProvider.System)).Fault;

        Assert.Contains("no sound input", fault.Sentence, StringComparison.Ordinal);
    }

    private sealed class Heard : IRoomListener
    {
        public List<(long Frame, float[] Samples)> Blocks { get; } = [];

        public void Hear(long framesSinceOnset, ReadOnlySpan<float> mono) => Blocks.Add((framesSinceOnset, mono.ToArray()));
    }
}
