using Microsoft.AspNetCore.SignalR;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>Kits over real sockets.</summary>
public sealed class KitHubTests : IAsyncLifetime
{
    private SessionAtTesting _at = null!;

    public async ValueTask InitializeAsync() => _at = await SessionAtTesting.Start();

    public ValueTask DisposeAsync() => _at.DisposeAsync();

    private static OrderStep Tone => new(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), false);

    [Fact]
    public async Task ReportsSentTwiceAreHeldOnce()
    {
        await _at.Console.Must(Tone);
        var order = await _at.Kit.NextOrder();
        var started = _at.Kit.Next(_at.Session, new StepStarted(order.StepId));
        var trial = _at.Kit.Next(_at.Session, new TrialDone(order.StepId, Samples.Trial()));
        var ended = _at.Kit.Next(_at.Session, new StepEnded(order.StepId, StepEnding.Completed, null, null, null));

        Assert.Equal(trial.Sequence, (await _at.Kit.Hand(started, trial)).AcknowledgedSequence);
        var acks = await Task.WhenAll(_at.Kit.Hand(started, trial, ended), _at.Kit.Hand(started, trial, ended), _at.Kit.Hand(trial, ended));

        Assert.All(acks, ack => Assert.Equal(ended.Sequence, ack.AcknowledgedSequence));
        await _at.Console.Watch(_at.Session);
        Assert.Single(_at.Console.View!.Step!.Trials);
        Assert.True(_at.Console.View.Integrity.Valid);
    }

    [Fact]
    public async Task AGapInTheJournalIsNotSkipped()
    {
        var lost = _at.Kit.Next(_at.Session, new HelpCalled());
        var next = _at.Kit.Next(_at.Session, new HelpCalled());

        var ack = await _at.Kit.Hand(next);

        Assert.Equal(RefusalCodes.OutOfOrder, ack.Refusal!.Code);
        Assert.Equal(lost.Sequence - 1, ack.AcknowledgedSequence);
        Assert.Equal(next.Sequence, (await _at.Kit.Hand(lost, next)).AcknowledgedSequence);
    }

    [Fact]
    public async Task AReportThatCannotBeTrueIsRefusedAndPassed()
    {
        await _at.Console.Must(Tone);
        var order = await _at.Kit.NextOrder();

        var ack = await _at.Kit.Report(
            _at.Session,
            new TrialDone(order.StepId, Samples.Trial(level: double.NaN)),
            new TrialDone(StepId.New(), Samples.Trial()),
            new TrialDone(order.StepId, Samples.Trial()));

        Assert.Equal(RefusalCodes.Invalid, ack.Refusal!.Code);
        await _at.Console.Watch(_at.Session);
        Assert.Single(_at.Console.View!.Step!.Trials);
    }

    [Fact]
    public async Task AKitCannotReportAboutAnotherKitsSession()
    {
        await using var other = await _at.Hub.Kit("kit-02");
        await other.Connect();

        var ack = await other.Report(_at.Session, new StopPressed());

        Assert.Equal(RefusalCodes.SessionUnknown, ack.Refusal!.Code);
        await _at.Console.Watch(_at.Session);
        Assert.Equal(SessionStage.Testing, _at.Console.View!.Stage);
    }

    [Fact]
    public async Task LeasesComeWhileSoundMayBeOnAndHaveNoLengthAfterAHold()
    {
        var clock = _at.Hub.Get<HubClock>();
        await _at.Console.Must(Tone);
        var order = await _at.Kit.NextOrder();
        var ordered = clock.RunningMs;
        var first = await NextLease(lease => lease.HubMs > ordered);
        var second = await NextLease(lease => lease.Number > first.Number);
        Assert.InRange(first.LengthMs, 1, Protocol.LeaseLengthMs);
        Assert.Equal(first.HubRunId, second.HubRunId);
        Assert.True(second.HubMs >= first.HubMs);
        Assert.InRange(second.LengthMs, 1, Protocol.LeaseLengthMs);

        await _at.Console.Must(new Hold(null));

        Assert.Equal(order.StepId, await _at.Kit.Cuts.Reader.ReadAsync(TestContext.Current.CancellationToken));
        Assert.False(_at.Hub.Get<KitLinks>().DutyOf(_at.Kit.KitId)!.SoundMayBeOn);
        // The kit goes on hearing the hub's time, but a step that was not cut would lose its lease.
        var held = clock.RunningMs;
        Assert.Equal(0, (await NextLease(lease => lease.HubMs > held)).LengthMs);
        Assert.Equal(0, (await NextLease(lease => lease.HubMs > held)).LengthMs);
    }

    [Fact]
    public async Task TheWelcomeTellsTheTimeAndGivesNoRightToSound()
    {
        var welcome = await _at.Kit.Connect();

        Assert.Equal(0, welcome.Lease!.LengthMs);
    }

    [Fact]
    public async Task ARightTakenAwayBeforeHelloIsGone()
    {
        await using var other = await _at.Hub.Kit("kit-02");
        await using var connection = other.Build();
        await connection.StartAsync(TestContext.Current.CancellationToken);
        Assert.True(await _at.Hub.Get<KitRevocation>().Revoke(other.KitId, "lost in the post", TestContext.Current.CancellationToken));

        var welcome = await other.Hello(connection);

        Assert.Equal(RefusalCodes.KitRevoked, welcome.Refusal?.Code);
        Assert.Null(welcome.JournalKeyBase64);
        Assert.False(_at.Hub.Get<KitLinks>().IsOnline(other.KitId));
    }

    [Fact]
    public async Task AnEndThatCannotBeTrueEndsTheStepWithoutItsResult()
    {
        await _at.Console.Must(new OrderStep(new MeasureRoomStep(10), false));
        var order = await _at.Kit.NextOrder();
        var before = (await _at.Console.Watch(_at.Session)).View!.Room;

        var ack = await _at.Kit.Report(_at.Session, new StepEnded(order.StepId, StepEnding.Completed, null, null, new RoomResult([], [], [], 10)));

        Assert.Equal(RefusalCodes.Invalid, ack.Refusal!.Code);
        var view = (await _at.Console.Watch(_at.Session)).View!;
        Assert.Equal((StepEnding.Failed, RefusalCodes.Invalid), (view.Step!.Ending, view.Step.Code));
        Assert.Equal(before!.LowestProvable, view.Room!.LowestProvable);
        await _at.Console.Must(Tone);
    }

    [Fact]
    public async Task AStopAtTheSiteStopsTheSession()
    {
        await _at.Console.Must(Tone);
        var order = await _at.Kit.NextOrder();
        await _at.Kit.Report(_at.Session, new StopPressed(), new StepEnded(order.StepId, StepEnding.Interrupted, RefusalCodes.StopPressed, "Stop was pressed.", null));

        var view = await _at.Console.Until(shown => shown.Stage == SessionStage.Stopped && !shown.Step!.Running());

        Assert.Equal(SessionStage.Testing, view.ResumeStage);
        Assert.True((await _at.Kit.UntilScene(scene => scene.Stopped)).Stopped);
        Assert.Equal(RefusalCodes.GateNotMet, (await _at.Console.Ask(new Resume(null))).Refusal!.Code);
        await _at.Console.Must(new Resume("All is well."));
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task AStopInAStoppedSessionIsAnsweredToo(bool takesConsentBack)
    {
        await _at.Console.Must(new WithdrawConsent("not today"));
        await _at.Kit.UntilScene(scene => scene.Stopped);

        while (_at.Kit.Scenes.Reader.TryRead(out _))
        {
            // What was shown before counts for nothing.
        }

        await _at.Kit.Report(_at.Session, takesConsentBack ? new ConsentTakenBackHere() : new StopPressed());
        await _at.Console.Must(new Resume("Asked anew."));

        // Nothing is to be seen of it, and the kit keeps silent until it hears that the hub has it: one that never did would refuse every step after the session went on.
        Assert.True((await _at.Kit.UntilScene(_ => true)).Stopped);
        Assert.False((await _at.Kit.UntilScene(scene => !scene.Stopped)).Stopped);
    }

    [Fact]
    public async Task ALostLinkIsWrittenDownAndANewHelloBringsTheSessionBack()
    {
        await _at.Console.Must(Tone);
        var order = await _at.Kit.Orders.Reader.ReadAsync(TestContext.Current.CancellationToken);
        await _at.Kit.Disconnect();
        var lost = await _at.Console.Until(view => view.Stage == SessionStage.LinkLost);
        Assert.False(lost.Kit.Online);
        Assert.Equal(RefusalCodes.StageDoesNotAllow, (await _at.Console.Ask(Tone)).Refusal!.Code);

        // The kit says it never saw the order.
        var welcome = await _at.Kit.Connect();

        Assert.Equal(SessionStage.Testing, welcome.Scene!.Stage);
        var back = await _at.Console.Until(view => view.Stage == SessionStage.Testing && view.Kit.Online);
        Assert.Equal((StepEnding.Refused, RefusalCodes.LinkLost), (back.Step!.Ending!.Value, back.Step.Code));
        // Should the order be under way still, or wait in the kit, the cut is there before it makes a sound.
        Assert.Equal(order.StepId, await _at.Kit.Cuts.Reader.ReadAsync(TestContext.Current.CancellationToken));
        await _at.Console.Must(Tone);
        Assert.NotEqual(order.StepId, (await _at.Kit.NextOrder()).StepId);
    }

    [Fact]
    public async Task TheNewestConnectionIsTheKitAndTheLateEndOfTheOldOneChangesNothing()
    {
        var old = _at.Kit.Connection!;
        await _at.Kit.Connect();
        await old.DisposeAsync();
        await _at.Console.Must(Tone);

        var order = await _at.Kit.NextOrder();

        Assert.Null((await _at.Kit.Report(_at.Session, new StepStarted(order.StepId))).Refusal);
        await _at.Console.Watch(_at.Session);
        Assert.Equal(SessionStage.Testing, _at.Console.View!.Stage);
        Assert.True(_at.Console.View.Kit.Online);
    }

    [Fact]
    public async Task TheSceneTellsTheSiteNoLevelNoSideAndNoName()
    {
        await _at.Console.Must(Tone);
        var scene = await _at.Kit.UntilScene(shown => shown.RunningStep == "present");

        var text = System.Text.Json.JsonSerializer.Serialize(scene, Protocol.Json);

        Assert.DoesNotContain("Right", text, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("40", System.Text.RegularExpressions.Regex.Replace(text, "[0-9a-f]{8}-[0-9a-f-]{27}", string.Empty), StringComparison.Ordinal);
        Assert.DoesNotContain("Brandvold", text, StringComparison.OrdinalIgnoreCase);
    }

    [Fact]
    public async Task LiveSignalsReachWatchersOfTheKitsOwnSessionOnly()
    {
        await using var other = await _at.Hub.Kit("kit-02");
        await other.Connect();
        await other.Signal(new LiveSignal(_at.Session, LiveSignalKind.ButtonDown));
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.SoundOn));

        Assert.Equal(LiveSignalKind.SoundOn, (await _at.Console.NextSignal()).Kind);
    }

    [Fact]
    public async Task TheRoomIsPassedOnWhenItIsWholeAndDroppedOtherwise()
    {
        var room = new LiveRoom([30, 28.5], [4, 3], 33, null);
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.RoomHeard));
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.RoomHeard) { Room = room with { LevelsDbSpl = [double.NaN] } });
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.RoomHeard) { Room = room with { LevelsDbSpl = new double[65] } });
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.RoomHeard) { Room = room with { OwnNoiseDbSpl = null! } });
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.SoundOn) { Room = room });
        await _at.Kit.Signal(new LiveSignal(_at.Session, LiveSignalKind.RoomHeard) { Room = room });

        var signal = await _at.Console.NextSignal();

        Assert.Equal(LiveSignalKind.RoomHeard, signal.Kind);
        Assert.Equal(room.LevelsDbSpl, signal.Room!.LevelsDbSpl);
    }

    [Fact]
    public async Task ARevokedKitIsToldClosedAndNotLetInAgain()
    {
        Assert.True(await _at.Hub.Get<KitRevocation>().Revoke(_at.Kit.KitId, "lost in the post", TestContext.Current.CancellationToken));

        Assert.Equal("lost in the post", await _at.Kit.Revoked.Task);
        await _at.Console.Until(view => view.Stage == SessionStage.LinkLost);
        await using var again = _at.Kit.Build();
        await Assert.ThrowsAsync<HttpRequestException>(() => again.StartAsync(TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task AnotherVersionOfTheProtocolIsRefusedAtHello()
    {
        await using var other = await _at.Hub.Kit("kit-02");

        var welcome = await other.Connect(version: 99);

        Assert.Equal(RefusalCodes.ProtocolVersion, welcome.Refusal!.Code);
        Assert.Null(welcome.JournalKeyBase64);
        await Assert.ThrowsAsync<HubException>(() => other.Report(null, new HelpCalled()));
    }

    [Fact]
    public async Task TheJournalKeyIsTheSameAtEveryHello()
    {
        var first = await _at.Kit.Connect();
        var second = await _at.Kit.Connect();

        Assert.Equal(32, Convert.FromBase64String(first.JournalKeyBase64!).Length);
        Assert.Equal(first.JournalKeyBase64, second.JournalKeyBase64);
    }

    private async Task<LeaseGrant> NextLease(Func<LeaseGrant, bool> which)
    {
        LeaseGrant lease;
        do
        {
            lease = await _at.Kit.Leases.Reader.ReadAsync(TestContext.Current.CancellationToken);
        }
        while (!which(lease));
        return lease;
    }
}
