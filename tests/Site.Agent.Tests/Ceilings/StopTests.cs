using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Ceilings;

public sealed class StopTests
{
    private static readonly PresentToneStep _longTone = new(Ear.Left, 1000, 40, ToneShape.Steady, 8000);

    private static async Task LinkedAsync(RunningAgent agent) =>
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Linked);

    [Fact]
    public async Task StopIsHeardWhileAToneIsPlaying()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime));
        var engine = agent.Get<AudioEngine>();
        var sound = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var silent = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
        engine.SoundChanged += on => _ = on ? sound.TrySetResult() : silent.TrySetResult(engine.Frames);
        await LinkedAsync(agent);
        var order = hub.Order(_longTone);
        await hub.CarryAsync(order);
        await sound.Task.WaitAsync(TestContext.Current.CancellationToken);

        var pressedAt = engine.Frames;
        agent.Get<KitActions>().Stop();
        var silentAt = await silent.Task.WaitAsync(TestContext.Current.CancellationToken);

        // the block in hand, the block of the fall, and one for the moment of pressing
        Assert.InRange(silentAt - pressedAt, 0, 3 * AudioFormat.BlockFrames);
        var ended = await hub.EndOfAsync(order.StepId);
        Assert.Equal((StepEnding.Interrupted, RefusalCodes.StopPressed), (ended.Ending, ended.Code));
        await hub.UntilAsync(h => h.All<StopPressed>().Count == 1);
        Assert.Equal(hub.Session, hub.Held.Single(entry => entry.Report is StopPressed).SessionId);
    }

    [Fact]
    public async Task AfterStopAllSoundIsRefusedUntilTheHubSaysThatTheClinicianResumed()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await LinkedAsync(agent);
        var stop = agent.Get<StopSwitch>();
        var tone = _longTone with { DurationMs = 500 };

        agent.Get<KitActions>().Stop();
        // a scene that was on its way when stop was pressed says "not stopped" and must not release it
        await hub.ShowAsync(hub.Scene with { Message = "on its way before" });
        var refused = hub.Order(tone, 1);
        await hub.CarryAsync(refused);
        Assert.Equal(RefusalCodes.StopPressed, (await hub.EndOfAsync(refused.StepId)).Code);

        await hub.ShowAsync(hub.Scene with { Stopped = true });
        await hub.ShowAsync(hub.Scene with { Stopped = false });
        await Wait.UntilAsync(() => !stop.IsPressed);
        var allowed = hub.Order(tone, 2);
        await hub.CarryAsync(allowed);
        Assert.Equal(StepEnding.Completed, (await hub.EndOfAsync(allowed.StepId)).Ending);
    }

    [Fact]
    public async Task AStopWithTheHubAwayHoldsAcrossARestartAndIsReportedWhenTheHubIsBack()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var proxy = new TcpProxy(hub.Port);
        proxy.Reset();
        var options = RunningAgent.OptionsFor(folder, new Uri($"http://127.0.0.1:{proxy.Port}/"));
        await using (var first = await RunningAgent.StartAsync(options))
        {
            first.Get<KitActions>().Stop();
            Assert.True(first.Get<StopSwitch>().IsPressed);
        }

        await using var again = await RunningAgent.StartAsync(options with { RecordPath = null });
        Assert.True(again.Get<StopSwitch>().IsPressed);
        Assert.Empty(hub.Hellos);
        proxy.Restore();
        await hub.UntilAsync(h => h.All<StopPressed>().Count > 0);

        Assert.Single(hub.All<StopPressed>());
        Assert.Equal(hub.Session, hub.Held.Single(entry => entry.Report is StopPressed).SessionId);
        Assert.True(again.Get<StopSwitch>().IsPressed);
    }

    [Fact]
    public async Task AStopThatTheClinicianAnsweredWhileTheKitWasAwayIsReleasedByTheWelcome()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var proxy = new TcpProxy(hub.Port);
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, new Uri($"http://127.0.0.1:{proxy.Port}/")));
        await LinkedAsync(agent);
        agent.Get<KitActions>().Stop();
        await hub.UntilAsync(h => h.All<StopPressed>().Count == 1);

        proxy.Reset();
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Link == LinkState.Away);
        Assert.True(agent.Get<StopSwitch>().IsPressed);
        proxy.Restore();

        await Wait.UntilAsync(() => !agent.Get<StopSwitch>().IsPressed);
    }

    [Fact]
    public async Task ASecondPressIsReportedAndNotReleasedByAnAnswerToTheFirst()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await LinkedAsync(agent);
        var stop = agent.Get<StopSwitch>();
        var held = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        agent.Get<KitActions>().Stop();
        await hub.UntilAsync(h => h.All<StopPressed>().Count == 1);
        await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(1).Count == 0);
        await hub.ShowAsync(hub.Scene with { Stopped = true });

        // the clinician has resumed; before the site hears of it, stop is pressed again and the hub does not take the report yet
        hub.Holds = held.Task;
        agent.Get<KitActions>().Stop();
        await hub.ShowAsync(hub.Scene with { Stopped = false, Message = "resumed" });
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Scene?.Message == "resumed");
        Assert.True(stop.IsPressed);

        held.SetResult();
        await hub.UntilAsync(h => h.All<StopPressed>().Count == 2);
        await Wait.UntilAsync(() => !stop.IsPressed);
    }

    [Fact]
    public async Task AStopPressedAfterTheSessionHoldsUntilTheHubHoldsItForNobodyIsThereToResume()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await LinkedAsync(agent);
        var stop = agent.Get<StopSwitch>();
        var held = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        hub.Holds = held.Task;
        await hub.ShowAsync(hub.Scene with { Stage = SessionStage.Closed });
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Scene?.Stage == SessionStage.Closed);

        agent.Get<KitActions>().Stop();
        await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(1).Any(entry => entry.Report is StopPressed));
        Assert.True(stop.IsPressed);
        held.SetResult();

        await Wait.UntilAsync(() => !stop.IsPressed);
        Assert.Single(hub.All<StopPressed>());
        Assert.Null(agent.Get<OrderLedger>().Stop);
    }

    [Fact]
    public async Task AStopPressedBeforeASessionIsToldToTheOneThatBeganMeanwhile()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        var open = hub.Scene;
        hub.Scene = new KitScene(null, SessionStage.Scheduled, null, null, null, false, null, false);
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await LinkedAsync(agent);
        var stop = agent.Get<StopSwitch>();
        var held = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        hub.Holds = held.Task;

        agent.Get<KitActions>().Stop();
        await Wait.UntilAsync(() => agent.Get<KitJournal>().Pending(1).Any(entry => entry.Report is StopPressed));
        await hub.ShowAsync(open);
        await Wait.UntilAsync(() => agent.Get<KitScreenState>().Now.Scene?.SessionId == hub.Session);
        held.SetResult();

        await hub.UntilAsync(h => h.All<StopPressed>().Count == 2);
        Assert.Equal([null, hub.Session], hub.Held.Where(entry => entry.Report is StopPressed).Select(entry => entry.SessionId));
        Assert.True(stop.IsPressed);
        await hub.ShowAsync(open with { Stopped = true });
        await hub.ShowAsync(open with { Stopped = false, Message = "resumed" });
        await Wait.UntilAsync(() => !stop.IsPressed);
    }

    [Fact]
    public async Task ConsentTakenBackSilencesAtOnceAndRefusesEverythingUntilTheClinicianHasResumed()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address, Pace.Realtime));
        var engine = agent.Get<AudioEngine>();
        var sound = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var silent = new TaskCompletionSource<long>(TaskCreationOptions.RunContinuationsAsynchronously);
        engine.SoundChanged += on => _ = on ? sound.TrySetResult() : silent.TrySetResult(engine.Frames);
        await LinkedAsync(agent);
        var order = hub.Order(_longTone);
        await hub.CarryAsync(order);
        await sound.Task.WaitAsync(TestContext.Current.CancellationToken);

        var pressedAt = engine.Frames;
        agent.Get<KitActions>().TakeConsentBack();
        Assert.InRange(await silent.Task.WaitAsync(TestContext.Current.CancellationToken) - pressedAt, 0, 3 * AudioFormat.BlockFrames);

        var ended = await hub.EndOfAsync(order.StepId);
        Assert.Equal((StepEnding.Interrupted, RefusalCodes.ConsentMissing), (ended.Ending, ended.Code));
        await hub.UntilAsync(h => h.All<ConsentTakenBackHere>().Count == 1);
        Assert.Empty(hub.All<StopPressed>());

        // an order that was on its way makes no sound, yet it is part of what was taken back
        var late = hub.Order(new CheckKitStep(), 2);
        await hub.CarryAsync(late);
        Assert.Equal(RefusalCodes.ConsentMissing, (await hub.EndOfAsync(late.StepId)).Code);

        await hub.ShowAsync(hub.Scene with { Stopped = true });
        await hub.ShowAsync(hub.Scene with { Stopped = false, Message = "resumed" });
        await Wait.UntilAsync(() => !agent.Get<StopSwitch>().IsPressed);
        var again = hub.Order(new CheckKitStep(), 3);
        await hub.CarryAsync(again);
        Assert.NotEqual(RefusalCodes.ConsentMissing, (await hub.EndOfAsync(again.StepId)).Code);
    }

    [Fact]
    public async Task ConsentTakenBackAfterAStopIsToldAsWell()
    {
        using var folder = new TempFolder();
        await using var hub = await TestHub.StartAsync();
        await using var agent = await RunningAgent.StartAsync(RunningAgent.OptionsFor(folder, hub.Address));
        await LinkedAsync(agent);

        agent.Get<KitActions>().Stop();
        agent.Get<KitActions>().TakeConsentBack();

        await hub.UntilAsync(h => h.All<ConsentTakenBackHere>().Count == 1);
        Assert.Single(hub.All<StopPressed>());
    }

    [Fact]
    public void ConsentTakenBackOutlivesARestart()
    {
        using var folder = new TempFolder();
        OrderLedger.Load(folder.Path, new DurableFiles()).Mark(new StopMark(null, Withdrawn: true));

        Assert.True(OrderLedger.Load(folder.Path, new DurableFiles()).Stop!.Withdrawn);
    }
}
