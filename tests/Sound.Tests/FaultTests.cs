using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Audio.Pulse;
using TeleHearing.Sound.Tests.Support;

namespace TeleHearing.Sound.Tests;

/// <summary>A device that is unfit, moved, taken away or stuck: a sentence with its mend, silence, and no presentation that counts.</summary>
public sealed class FaultTests
{
    private static Presentation LongTone() => new()
    {
        LeadFrames = 0,
        BodyFrames = AudioFormat.FramesOf(9000),
        TailFrames = 0,
        Tone = new ToneSynthesizer(new ToneSpec(1000, 0.1, ToneShape.Steady, 9000, AudioFormat.SampleRateHz)),
        Ear = Ear.Left,
        NeedsLease = true,
    };

    private static Presentation ShortTone() => LongTone() with { BodyFrames = AudioFormat.FramesOf(100) };

    [Theory]
    [InlineData(44_100, "float32le", 2, "front-left,front-right", "44100 Hz", "48000 Hz")]
    [InlineData(96_000, "float32le", 2, "front-left,front-right", "96000 Hz", "48000 Hz")]
    [InlineData(48_000, "s16le", 2, "front-left,front-right", "16 bit integers", "24 or 32 bits")]
    [InlineData(48_000, "u8", 2, "front-left,front-right", "too coarse", "24 or 32 bits")]
    [InlineData(48_000, "float32le", 1, "mono", "1 channels", "stereo profile")]
    [InlineData(48_000, "float32le", 2, "front-right,front-left", "other channels than left and right", "stereo profile")]
    public async Task AnUnfitOutputIsRefusedWithItsMend(int rateHz, string format, int channels, string map, string words, string mend)
    {
        await using var server = await SoundServer.StartAsync(rateHz, format, channels, map);

        var fault = Assert.Throws<DeviceFaultException>(() => server.Open()).Fault;

        Assert.Equal(DeviceFaultKind.Lasting, fault.Kind);
        Assert.Contains(words, fault.Sentence, StringComparison.Ordinal);
        Assert.Contains(mend, fault.Mend, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("s24le")]
    [InlineData("s24-32le")]
    [InlineData("s32le")]
    public async Task FinerIntegersAreFit(string format)
    {
        await using var server = await SoundServer.StartAsync(format: format);
        await using var running = new RunningEngine(server.Open());

        Assert.Equal(PresentationEnd.Complete, (await running.PresentAsync(ShortTone())).End);
    }

    [Fact]
    public async Task AnOutputThatIsNotThereIsNeverReplacedByAnother()
    {
        await using var server = await SoundServer.StartAsync();

        var fault = Assert.Throws<DeviceFaultException>(() => PulseOutput.Open("pulse:elsewhere", server.Settings(), TimeProvider.System)).Fault;

        Assert.Contains("no sound output \"pulse:elsewhere\"", fault.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void AMachineWithoutASoundServerSaysSo()
    {
        var fault = Assert.Throws<DeviceFaultException>(() => PulseOutput.Open("pulse:kit", new PulseSettings("unix:/nonexistent/native"), TimeProvider.System)).Fault;

        Assert.Contains("sound server", fault.Sentence, StringComparison.Ordinal);
        Assert.Equal(DeviceFaultKind.Lasting, fault.Kind);
    }

    [Theory]
    [InlineData("muted", "set-sink-mute", SoundServer.Sink, "1")]
    [InlineData("90 %", "set-sink-volume", SoundServer.Sink, "90%")]
    [InlineData("153 %", "set-sink-volume", SoundServer.Sink, "153%")]
    [InlineData("99 %", "set-sink-volume", SoundServer.Sink, "100%", "99%")]
    public async Task AMovedMixerForbidsSoundBeforeATestAndSetsItFreeWhenMended(string words, params string[] change)
    {
        await using var server = await SoundServer.StartAsync();
        await server.ControlAsync(change);
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);

        var refused = await running.PresentAsync(ShortTone());

        Assert.Equal(PresentationEnd.DeviceFault, refused.End);
        Assert.Contains(words, refused.Fault!.Sentence, StringComparison.Ordinal);
        Assert.Contains("sound settings", refused.Fault.Mend, StringComparison.Ordinal);
        await recording.MoreAsync(48_000);
        Assert.All(recording.Samples(), sample => Assert.Equal(0f, sample));

        await server.ControlAsync("set-sink-mute", SoundServer.Sink, "0");
        await server.ControlAsync("set-sink-volume", SoundServer.Sink, "100%");
        await Wait.UntilAsync(() => running.Engine.Fault is null);
        Assert.Equal(PresentationEnd.Complete, (await running.PresentAsync(ShortTone())).End);
    }

    [Theory]
    [InlineData("set-sink-volume", SoundServer.Sink, "80%")]
    [InlineData("set-sink-mute", SoundServer.Sink, "1")]
    public async Task AMixerMovedMidToneEndsItInSilence(params string[] change)
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);

        await server.ControlAsync(change);
        var result = await presenting;

        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Equal(DeviceFaultKind.Mendable, result.Fault!.Kind);
        await AssertSilentSoonAsync(recording);
    }

    [Fact]
    public async Task TheVolumeOfTheProgramItselfCountsToo()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);
        var stream = (await server.ControlAsync("list", "short", "sink-inputs")).Split('\t')[0];

        await server.ControlAsync("set-sink-input-volume", stream, "50%");
        var result = await presenting;

        Assert.Contains("The sound of this program stands at 50 %", result.Fault!.Sentence, StringComparison.Ordinal);
        await AssertSilentSoonAsync(recording);
    }

    [Fact]
    public async Task AnotherProgramOnTheSameOutputEndsTheTone()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);

        await using var other = TeleHearing.Testing.RealProcess.Start("pacat", [$"--server={server.Address}", "--device=kit", "--playback", "/dev/zero"]);
        var result = await presenting;

        Assert.Contains("Another program plays", result.Fault!.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AServerThatDiesMidToneEndsItForGood()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);

        await server.SignalAsync("KILL");
        var result = await presenting;

        await AssertEndedForGoodAsync(running, result, "sound server");
    }

    [Fact]
    public async Task AnOutputTakenAwayMidToneEndsItAndNoOtherIsTaken()
    {
        await using var server = await SoundServer.StartAsync();
        await server.ControlAsync("load-module", "module-null-sink", "sink_name=other", "rate=48000", "format=float32le");
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);
        var module = (await server.ControlAsync("list", "short", "modules")).Split('\n').Single(line => line.Contains($"sink_name={SoundServer.Sink} ", StringComparison.Ordinal)).Split('\t')[0];

        await server.ControlAsync("unload-module", module);
        var result = await presenting;

        await AssertEndedForGoodAsync(running, result, "is gone");
        Assert.Equal(string.Empty, await server.ControlAsync("list", "short", "sink-inputs"));
    }

    [Fact]
    public async Task AServerThatStandsStillMidToneEndsItForGood()
    {
        await using var server = await SoundServer.StartAsync();
        await using var running = new RunningEngine(server.Open());
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);

        await server.SignalAsync("STOP");
        var result = await presenting;

        await AssertEndedForGoodAsync(running, result, "");
        Assert.Matches("stands still|does not answer", result.Fault!.Sentence);
    }

    [Fact]
    public async Task ADeviceThatRanOutOfSamplesVoidsTheToneButNotTheNext()
    {
        await using var server = await SoundServer.StartAsync();
        var output = server.Open(latencyMs: 300);
        var held = new HeldOutput(output);
        await using var running = new RunningEngine(held);
        await using var recording = await Recording.StartAsync(server);
        var presenting = await SoundingAsync(running, recording);

        var before = output.Underruns;
        held.Hold();
        await Wait.UntilAsync(() => output.Underruns > before);
        held.LetGo();
        var result = await presenting;

        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Equal(DeviceFaultKind.Passing, result.Fault!.Kind);
        Assert.Contains("gap", result.Fault.Sentence, StringComparison.Ordinal);
        await AssertSilentSoonAsync(recording);
        await Wait.UntilAsync(() => running.PresentAsync(ShortTone()).Result.End == PresentationEnd.Complete);
    }

    /// <summary>Begins a long tone and returns once it is heard.</summary>
    private static async Task<Task<PresentationResult>> SoundingAsync(RunningEngine running, Recording recording)
    {
        var presenting = running.PresentAsync(LongTone());
        await Wait.UntilAsync(() => recording.Samples().Any(sample => sample != 0) || presenting.IsCompleted);
        Assert.False(presenting.IsCompleted, presenting.IsCompleted ? presenting.Result.Fault?.ToString() : null);
        return presenting;
    }

    private static async Task AssertEndedForGoodAsync(RunningEngine running, PresentationResult result, string words)
    {
        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Equal(DeviceFaultKind.Lasting, result.Fault!.Kind);
        Assert.Contains(words, result.Fault.Sentence, StringComparison.Ordinal);
        Assert.EndsWith("then start again.", result.Fault.Mend, StringComparison.Ordinal);
        Assert.Equal(PresentationEnd.DeviceFault, (await running.PresentAsync(ShortTone())).End);
    }

    /// <summary>What was handed over before the fault may still sound, for the latency of the output and no longer; then all is silent, though the tone had seconds to go.</summary>
    private static async Task AssertSilentSoonAsync(Recording recording)
    {
        await recording.MoreAsync(AudioFormat.FramesOf(1500));
        var from = recording.Frames;
        await recording.MoreAsync(AudioFormat.FramesOf(500));

        Assert.All(recording.Samples().Skip((int)from * AudioFormat.Channels), sample => Assert.Equal(0f, sample));
    }
}
