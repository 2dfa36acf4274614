using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Sound.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Sound.Tests;

/// <summary>The whole agent, linked to a hub, plays the trials of a session through a real sound server.</summary>
public sealed class AgentTests : IAsyncLifetime
{
    private const double LevelDbHl = 50;
    private readonly TempFolder _folder = new();
    private SoundServer _server = null!;
    private TestHub _hub = null!;

    public async ValueTask InitializeAsync() => (_server, _hub) = (await SoundServer.StartAsync(), await TestHub.StartAsync());

    public async ValueTask DisposeAsync()
    {
        await _hub.DisposeAsync();
        await _server.DisposeAsync();
        _folder.Dispose();
    }

    [Fact]
    public async Task ATrialIsHeardAtTheLevelItsCalibrationSays()
    {
        await using var agent = await StartAsync();
        await using var recording = await Recording.StartAsync(_server);
        var order = _hub.Order(new PresentToneStep(Ear.Right, 1000, LevelDbHl, ToneShape.Steady, 1000));

        await _hub.CarryAsync(order);

        Assert.Equal(StepEnding.Completed, (await _hub.EndOfAsync(order.StepId)).Ending);
        Assert.Equal(TrialVerdict.NotHeard, Assert.Single(_hub.All<TrialDone>()).Trial.Verdict);
        await recording.MoreAsync(1);
        var samples = recording.Samples();
        var start = Array.FindIndex(samples, sample => sample != 0) / 2;
        var right = Enumerable.Range(start + 4800, 38_400).Select(frame => samples[(frame * 2) + 1]).ToArray();
        var fit = SineFit.Fit(right, AudioFormat.SampleRateHz, 1000);

        // 50 dB HL + 5.5 dB (ISO 389-8, 1 kHz) - 130.8 dB SPL at full scale of the right channel
        Assert.Equal(LevelDbHl + 5.5 - Provisioner.RightSplAtFullScaleDb, fit.LevelDb, 0.001);
        Assert.All(Enumerable.Range(0, samples.Length / 2), frame => Assert.Equal(0f, samples[frame * 2]));
    }

    [Fact]
    public async Task ALeaseThatLapsesMidToneIsSilentBeforeItsEndAtTheLatencyOfTheDevice()
    {
        await using var agent = await StartAsync(latencyMs: 60);
        await using var recording = await Recording.StartAsync(_server);
        StepEnded end;
        int from;
        var attempts = 0;
        do
        {
            // a machine that is held up may run out of samples with so little held ready; that is another fault than this one
            Assert.True(++attempts <= 5, "The output ran out of samples again and again.");
            (from, _hub.Renews) = (recording.Samples().Length, true);
            var order = _hub.Order(new PresentToneStep(Ear.Left, 1000, LevelDbHl, ToneShape.Steady, 8000), attempts);
            _hub.Renews = false;
            await _hub.GrantAsync(_hub.NextGrant());
            await _hub.CarryAsync(order);
            end = await _hub.EndOfAsync(order.StepId);
        }
        while (end.Code == RefusalCodes.SoundFault);

        await recording.MoreAsync(AudioFormat.SampleRateHz);
        var left = recording.Samples()[from..].Where((_, index) => index % 2 == 0).ToArray();
        var (first, last) = (Array.FindIndex(left, sample => sample != 0), Array.FindLastIndex(left, sample => sample != 0));

        Assert.Equal((StepEnding.Interrupted, RefusalCodes.LinkLost), (end.Ending, end.Code));
        Assert.Equal(TrialVerdict.Void, _hub.All<TrialDone>()[^1].Trial.Verdict);

        // The lease was granted before the tone was ordered. Its first sample took the latency to the ear, and its last must be there before the lease of one second ends:
        // what is heard is shorter than the lease by the latency. One block for the fall, and the rounding of the clocks, may come on top.
        var latency = agent.Get<KitSound>().Output.LatencyFrames;
        Assert.InRange(latency, AudioFormat.FramesOf(20), AudioFormat.FramesOf(120));
        Assert.InRange(last - first, AudioFormat.FramesOf(100), AudioFormat.FramesOf(Protocol.LeaseLengthMs + 15) - latency);

        // a fall, no click: the last block goes down to nothing
        Assert.True(MathF.Abs(left[last]) < 0.01f * left.Max());
    }

    [Fact]
    public async Task AMixerMovedMidToneLeavesAVoidTrialAndAReason()
    {
        await using var agent = await StartAsync();
        await using var recording = await Recording.StartAsync(_server);
        var order = _hub.Order(new PresentToneStep(Ear.Left, 1000, LevelDbHl, ToneShape.Steady, 8000));
        await _hub.CarryAsync(order);
        await Wait.UntilAsync(() => recording.Samples().Any(sample => sample != 0));

        await _server.ControlAsync("set-sink-volume", SoundServer.Sink, "110%");
        var end = await _hub.EndOfAsync(order.StepId);

        Assert.Equal(StepEnding.Failed, end.Ending);
        Assert.Equal(RefusalCodes.SoundFault, end.Code);
        Assert.Contains("stands at 110 %", end.Reason, StringComparison.Ordinal);
        Assert.Contains("Set it to 100 %", end.Reason, StringComparison.Ordinal);
        var trial = Assert.Single(_hub.All<TrialDone>()).Trial;
        Assert.Equal(TrialVerdict.Void, trial.Verdict);
        Assert.Contains("110 %", trial.VoidReason, StringComparison.Ordinal);
    }

    [Fact]
    public async Task TheKitCheckNamesAMovedMixerAndPassesOnceItIsMended()
    {
        await _server.ControlAsync("set-sink-volume", SoundServer.Sink, "70%");

        // the longest a kit may ask for: the check has something against more than that and a device's own share
        await using var agent = await StartAsync(latencyMs: 300);

        var failed = await OutputLineAsync(1);
        await _server.ControlAsync("set-sink-volume", SoundServer.Sink, "100%");
        await Wait.UntilAsync(() => agent.Get<AudioEngine>().Fault is null);
        var passed = await OutputLineAsync(2);

        Assert.False(failed.Passed);
        Assert.Contains("70 %", failed.Finding, StringComparison.Ordinal);
        Assert.Contains("Set it to 100 %", failed.Mend, StringComparison.Ordinal);
        Assert.True(passed.Passed, passed.Finding);
    }

    [Fact]
    public async Task AnOutputThatIsNotThereLeavesTheKitLinkedAndSilent()
    {
        var options = Options() with { Listener = null };
        await File.WriteAllTextAsync(
            _folder.Inside(GearFiles.KitFile),
            (await File.ReadAllTextAsync(_folder.Inside(GearFiles.KitFile), TestContext.Current.CancellationToken)).Replace("\"unitSerial\"", "\"output\": \"hw:CARD=nowhere\", \"unitSerial\"", StringComparison.Ordinal),
            TestContext.Current.CancellationToken);
        await using var agent = await RunningAgent.StartAsync(options);
        await _hub.UntilAsync(hub => !hub.Hellos.IsEmpty);

        var line = await OutputLineAsync(1);

        Assert.False(line.Passed);
        Assert.Contains("hw:CARD=nowhere", line.Finding, StringComparison.Ordinal);
    }

    [Fact]
    public void AKitWithoutAnOutputIsToldWhereToNameIt()
    {
        var options = Options() with { Listener = null };
        var gear = new Gear(Provisioner.Kit, null);

        Assert.Contains("kit.json", Assert.Throws<FatalFaultException>(() => KitSound.Open(gear, options, TimeProvider.System)).Message, StringComparison.Ordinal);
        Assert.Contains("pace", Assert.Throws<FatalFaultException>(() => KitSound.Open(gear with { Kit = Provisioner.Kit with { Output = "pulse:kit" } }, options with { Pace = Pace.Fast }, TimeProvider.System)).Message, StringComparison.Ordinal);
        Assert.Contains("20 to 300", Assert.Throws<FatalFaultException>(() => KitSound.Open(gear with { Kit = Provisioner.Kit with { Output = "pulse:kit", OutputLatencyMs = 5 } }, options, TimeProvider.System)).Message, StringComparison.Ordinal);
    }

    private RunOptions Options() => RunningAgent.OptionsFor(_folder, _hub.Address, Pace.Realtime) with { RecordPath = null };

    private async Task<RunningAgent> StartAsync(double latencyMs = 400)
    {
        var agent = await RunningAgent.StartAsync(Options(), services => services.AddSingleton(new KitSound(_server.Open(latencyMs), null, null)));
        await _hub.UntilAsync(hub => !hub.Hellos.IsEmpty);
        return agent;
    }

    private async Task<KitCheckLine> OutputLineAsync(long number)
    {
        var order = _hub.Order(new CheckKitStep(), number);
        await _hub.CarryAsync(order);
        var result = Assert.IsType<KitCheckResult>((await _hub.EndOfAsync(order.StepId)).Result);
        return result.Lines.Single(line => line.Code == "output");
    }
}
