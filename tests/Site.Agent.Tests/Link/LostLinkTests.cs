using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Logging;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Link;

public sealed class LostLinkTests
{
    private static readonly PresentToneStep _longTone = new(Ear.Right, 1000, 40, ToneShape.Steady, 8000);

    /// <summary>Starts a long tone at real-time pace and returns when it sounds.</summary>
    private static async Task<StepOrder> SoundingAsync(TestHub hub, RunningAgent agent, StepRequest? request = null)
    {
        var sounds = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        agent.Get<AudioEngine>().SoundChanged += on => _ = on && sounds.TrySetResult();
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Linked);
        var order = hub.Order(request ?? _longTone);
        await hub.CarryAsync(order);
        await sounds.Task.WaitAsync(TestContext.Current.CancellationToken);
        return order;
    }

    private static void AssertBrokenOff(TestHub hub, StepEnded ended, string code)
    {
        Assert.Equal((StepEnding.Interrupted, code), (ended.Ending, ended.Code));
        var trial = Assert.Single(hub.All<TrialDone>(), done => done.StepId == ended.StepId).Trial;
        Assert.Equal(TrialVerdict.Void, trial.Verdict);
        Assert.NotNull(trial.VoidReason);
    }

    /// <summary>Length of what sounded, from the recording of everything handed to the output.</summary>
    private static double SoundedMs(RunningAgent agent)
    {
        // the demo person's right ear is channel 1; the first channel stays silent, so both are read
        var stereo = WavFile.ReadFloats(agent.Options.RecordPath!);
        return AudioFormat.MillisecondsOf(stereo.Count(sample => sample != 0));
    }

    [Fact]
    public async Task ALapsedLeaseEndsTheToneAndVoidsTheTrial()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        StepEnded ended;
        await using (var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime)))
        {
            var order = await SoundingAsync(hub, agent);
            hub.Renews = false;
            ended = await hub.EndOfAsync(order.StepId);
        }

        AssertBrokenOff(hub, ended, RefusalCodes.LinkLost);
    }

    [Fact]
    public async Task TheLogSaysThatALinkEndedBeforeItSaysThatThereIsOneAgain()
    {
        const int Linked = 2211;
        const int ConnectionFailed = 2212;
        const int LinkEnded = 2217;
        using var folder = new TempFolder();
        using var log = new LogLines();
        await using var hub = await TestHub.StartAsync();
        await using var proxy = new TcpProxy(hub.Port);
        await using var agent = await RunningAgent.StartAsync(
            RunningAgent.OptionsFor(folder, new Uri($"http://127.0.0.1:{proxy.Port}/"), Pace.Realtime),
            services => services.AddSingleton<ILoggerProvider>(log));
        await Wait.UntilAsync(() => log.Events.Contains(Linked));

        proxy.Reset();
        proxy.Restore();
        await Wait.UntilAsync(() => log.Events.Count(number => number == Linked) == 2);

        int[] link = [Linked, ConnectionFailed, LinkEnded];
        var told = log.Events.Where(link.Contains).ToList();
        Assert.Equal((Linked, Linked), (told[0], told[^1]));
        Assert.Contains(told[1], new[] { ConnectionFailed, LinkEnded });
    }

    [Fact]
    public async Task GrantsThatComeTooLateKeepNoToneAlive()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime));
        var order = await SoundingAsync(hub, agent);

        hub.GrantAgeMs = 3000;

        AssertBrokenOff(hub, await hub.EndOfAsync(order.StepId), RefusalCodes.LinkLost);
    }

    [Fact]
    public async Task AResetConnectionSilencesAtOnceAndTheKitComesBackByItself()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var proxy = new TcpProxy(hub.Port);
        var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, new Uri($"http://127.0.0.1:{proxy.Port}/"), Pace.Realtime));
        await using (agent)
        {
            var order = await SoundingAsync(hub, agent);
            var engine = agent.Get<AudioEngine>();
            var silent = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
            engine.SoundChanged += on => _ = !on && silent.TrySetResult(engine.Frames);
            var before = engine.Frames;
            proxy.Reset();
            var after = await silent.Task.WaitAsync(TestContext.Current.CancellationToken);

            // the requirement: silent within 0.5 s of a reset, on the kit's own clock
            Assert.InRange(AudioFormat.MillisecondsOf(after - before), 0, 500);
            proxy.Restore();
            AssertBrokenOff(hub, await hub.EndOfAsync(order.StepId), RefusalCodes.LinkLost);
            Assert.True(hub.Hellos.Count >= 2);
            Assert.Contains(order.StepId, hub.Hellos.Last().OrdersSeen);
        }

        Assert.True(SoundedMs(agent) < _longTone.DurationMs);
    }

    [Fact]
    public async Task TrafficDroppedWithoutAWordSilencesWithinTheLease()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var proxy = new TcpProxy(hub.Port);
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, new Uri($"http://127.0.0.1:{proxy.Port}/"), Pace.Realtime));
        var order = await SoundingAsync(hub, agent);
        var engine = agent.Get<AudioEngine>();
        var silent = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
        engine.SoundChanged += on => _ = !on && silent.TrySetResult(engine.Frames);
        var before = engine.Frames;

        proxy.DropSilently();
        var after = await silent.Task.WaitAsync(TestContext.Current.CancellationToken);
        proxy.Restore();

        // the requirement: silent within 1.1 s of a silent cut, on the kit's own clock
        Assert.InRange(AudioFormat.MillisecondsOf(after - before), 0, 1100);
        AssertBrokenOff(hub, await hub.EndOfAsync(order.StepId), RefusalCodes.LinkLost);
    }

    [Fact]
    public async Task ACutEndsTheStepAndWhatFollowsIsPlayed()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime));
        var order = await SoundingAsync(hub, agent);

        await hub.CutAsync(order.StepId);

        var ended = await hub.EndOfAsync(order.StepId);
        Assert.Equal((StepEnding.Cut, RefusalCodes.CutByClinician), (ended.Ending, ended.Code));
        Assert.Equal(TrialVerdict.Void, hub.All<TrialDone>().Single().Trial.Verdict);
        var next = hub.Order(_longTone with { DurationMs = 500 }, number: 2);
        await hub.CarryAsync(next);
        Assert.Equal(StepEnding.Completed, (await hub.EndOfAsync(next.StepId)).Ending);
    }

    [Fact]
    public async Task AStepAcceptedBeforeAPowerCutIsReportedAsInterruptedAndNeverPlayedAgain()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        var options = RunningAgent.OptionsFor(folder, hub.Address);
        var order = hub.Order(_longTone);
        // what the disk holds when the power goes between accepting and playing
        OrderLedger.Load(folder.Path, new DurableFiles()).Accept(order);

        await using var agent = await RunningAgent.StartAsync(options);
        var ended = await hub.EndOfAsync(order.StepId);
        await hub.CarryAsync(order);
        var check = hub.Order(new CheckKitStep(), number: 2);
        await hub.CarryAsync(check);
        await hub.EndOfAsync(check.StepId);

        Assert.Equal((StepEnding.Interrupted, RefusalCodes.AgentRestarted), (ended.Ending, ended.Code));
        Assert.Contains(order.StepId, hub.Hellos.First().OrdersSeen);
        Assert.DoesNotContain(hub.All<StepStarted>(), started => started.StepId == order.StepId);
        Assert.Single(hub.All<StepEnded>(), end => end.StepId == order.StepId);
    }

    [Fact]
    public async Task AProgramEndedMidStepSaysSoAtItsNextStart()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        var options = RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime);
        StepOrder order;
        await using (var agent = await RunningAgent.StartAsync(options))
        {
            order = await SoundingAsync(hub, agent);
        }

        await using var again = await RunningAgent.StartAsync(options with { RecordPath = null });

        Assert.Equal((StepEnding.Interrupted, RefusalCodes.AgentRestarted), ((await hub.EndOfAsync(order.StepId)).Ending, (await hub.EndOfAsync(order.StepId)).Code));
    }
}
