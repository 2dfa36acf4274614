using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Time.Testing;
using Npgsql;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Neighbours;

/// <summary>Any hub serves any session: what one decides, the other carries out, and nothing is known to one alone that decides something.</summary>
public sealed class NeighbourTests : IAsyncLifetime
{
    private static readonly TimeSpan _limit = TimeSpan.FromSeconds(20);

    private TwoHubs _hubs = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync() => _hubs = await TwoHubs.Start();

    public ValueTask DisposeAsync() => _hubs.DisposeAsync();

    [Fact]
    public async Task ASessionIsLedAtOneHubWithItsKitAtTheOther()
    {
        var (clinician, kit, session) = await Set();
        await using var console = await Console(_hubs.First, clinician, session);
        kit.Hub = _hubs.Second.Address;
        await kit.Connect();
        await Walk.ToTesting(console, kit);

        // An order is passed on in the time of the hub that the kit is linked to.
        var ordered = await console.Must(new OrderStep(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), false));
        var order = await kit.NextOrder();
        Assert.Equal(ordered.StepId, order.StepId);
        var lease = await Lease(kit, grant => grant.LengthMs > 0);
        Assert.Equal(_hubs.Second.Get<HubClock>().RunId, lease.HubRunId);
        Assert.InRange(order.ExpiresAtHubMs - _hubs.Second.Get<HubClock>().RunningMs, 0, 5_000);

        // What the kit says at once is seen at the other hub.
        await kit.Signal(new LiveSignal(session, LiveSignalKind.SoundOn));
        Assert.Equal(LiveSignalKind.SoundOn, (await console.NextSignal()).Kind);

        await console.Must(new CutStep(order.StepId));
        Assert.Equal(order.StepId, await kit.Cuts.Reader.ReadAsync(Token));
        await Lease(kit, grant => grant.LengthMs == 0);
        await kit.Report(session, new StepStarted(order.StepId), new StepEnded(order.StepId, StepEnding.Cut, null, null, null));
        await console.Until(view => view.Step is { Ending: StepEnding.Cut });

        // Gone from one hub, it is out of reach at both.
        await kit.Disconnect();
        await console.Until(view => view.Stage == SessionStage.LinkLost);
        await Eventually.Holds(() => !_hubs.First.Get<KitLinks>().IsOnline(kit.KitId), "it is out of reach", _limit, Token);
    }

    [Fact]
    public async Task AKitThatComesToTheOtherHubKeepsItsSession()
    {
        var (clinician, kit, session) = await Set();
        await using var console = await Console(_hubs.First, clinician, session);
        kit.Hub = _hubs.Second.Address;
        await kit.Connect();
        await Walk.ToTesting(console, kit);
        var before = kit.Connection!;
        var closed = new TaskCompletionSource();
        before.Closed += _ =>
        {
            closed.TrySetResult();
            return Task.CompletedTask;
        };

        kit.Hub = _hubs.First.Address;
        await kit.Connect();

        await closed.Task.WaitAsync(_limit, TimeProvider.System, Token);
        await Eventually.Holds(() => !_hubs.Second.Get<KitLinks>().IsBehind(kit.KitId, session, long.MaxValue) && _hubs.Second.Get<KitLinks>().IsOnline(kit.KitId), "the hub it left knows where it is", _limit, Token);
        await Walk.Step(console, kit, new MeasureRoomStep(10), Samples.QuietRoom);
        Assert.Equal(SessionStage.Testing, (await console.Watch(session)).View!.Stage);
        await before.DisposeAsync();
    }

    [Fact]
    public async Task WhatAHubThatIsGoneLeftBehindIsTakenOver()
    {
        var (clinician, kit, session) = await Set();
        await using var console = await Console(_hubs.First, clinician, session);
        kit.Hub = _hubs.Second.Address;
        await kit.Connect();
        await Walk.ToTesting(console, kit);

        // As a hub does that takes the kit and is then killed without a word.
        await using (var context = await Context(_hubs.First))
        {
            var gone = Guid.CreateVersion7();
            var now = (await context.RunningHubs.FirstAsync(Token)).SeenTicks;
            context.RunningHubs.Add(new RunningHubRow { HubId = gone, Name = "gone", Version = "0", StartedTicks = now, SeenTicks = now, Figures = "{}" });
            await context.SaveChangesAsync(Token);
            await context.KitLinks.ExecuteUpdateAsync(set => set.SetProperty(row => row.HubId, gone).SetProperty(row => row.ConnectionId, "gone"), Token);
        }

        await console.Until(view => view.Stage == SessionStage.LinkLost).WaitAsync(_limit, TimeProvider.System, Token);
        await Eventually.Holds(() => _hubs.First.Get<NeighbourWatch>().Others.Count == 1, "the hub that is gone is counted no more", _limit, Token);
        await Eventually.Holds(() => !_hubs.First.Get<KitLinks>().IsOnline(kit.KitId), "it is out of reach at either", _limit, Token);
    }

    [Fact]
    public async Task ASignInIsTheSameAtBothHubs()
    {
        var person = await _hubs.First.Person("Pella Nyström", Roles.Coordinator);
        await using var console = await _hubs.Second.Console(person);
        await console.WatchBoard();
        var id = _hubs.Second.Get<LivePeople>().All.Single().SignInId;
        var caller = new PersonCaller(person, "Pella Nyström", [Roles.Coordinator]) { SignInId = id };
        var (signIns, guard) = (_hubs.First.Get<SignIns>(), _hubs.Second.Get<EntryGuard>());
        await signIns.Find(id, Token);

        await signIns.Lock(id);
        await Eventually.Holds(() => Refused(RefusalCodes.Locked, Door.Command<RecordMove>()).GetAwaiter().GetResult(), "covered at the other", _limit, Token);
        await signIns.Confirm(id);
        Assert.True(await Refused(null, Door.Command<LiftHold>()));

        var closed = new TaskCompletionSource();
        console.Connection.Closed += _ =>
        {
            closed.TrySetResult();
            return Task.CompletedTask;
        };
        await signIns.End(id);
        await closed.Task.WaitAsync(_limit, TimeProvider.System, Token);

        async Task<bool> Refused(string? code, string door)
        {
            await guard.Fresh(caller, door);
            return guard.Refusal(caller, door)?.Code == code;
        }
    }

    [Fact]
    public async Task ControlHeardAtOneHubDoesNotLapseAtTheOtherAndEndsWithTheLastConsole()
    {
        var (clinician, kit, session) = await Set();
        var watcher = await _hubs.First.Person("Iris Holm", Roles.Clinician);
        await using var console = await Console(_hubs.First, clinician, session);
        await using var other = await Console(_hubs.Second, watcher, session);
        await kit.Connect();
        var epoch = (await console.Must(new TakeControl()), await other.Until(view => view.Control.HolderId == clinician)).Item2.Control.Epoch;
        await console.Must(new AddNote("She hears better with the window shut."));
        await Noted(session);

        // As the other hub knows it: not heard there for longer than control lives.
        var time = new FakeTimeProvider();
        var leases = new ControlLeases(_hubs.Second.Get<ControlHeard>(), time);
        leases.Follow((await _hubs.Second.Get<SessionStore>().Load(session, Token))!.State);
        time.Advance(TimeSpan.FromMinutes(1));
        Assert.Equal(TimeSpan.FromMinutes(1), leases.SilentFor(session, epoch).Holder);
        await leases.AskOthers(session, Token);
        Assert.InRange(leases.SilentFor(session, epoch).Holder, TimeSpan.Zero, TimeSpan.FromSeconds(20));

        // Put out at one hub by the other.
        await _hubs.Second.Get<SignIns>().EndAll(clinician);
        await other.Until(view => view.Control.HolderId is null).WaitAsync(_limit, TimeProvider.System, Token);
    }

    [Fact]
    public async Task AnAssertionServesOnceAtWhicheverHub()
    {
        var (_, kit, _) = await Set();
        var assertion = kit.Assertion();
        Assert.NotNull((await kit.Exchange(assertion)).Reply);

        kit.Hub = _hubs.Second.Address;
        Assert.Equal(RefusalCodes.Duplicate, (await kit.Exchange(assertion)).Fault!.Code);
        Assert.NotNull((await kit.Exchange(kit.Assertion())).Reply);
    }

    [Fact]
    public async Task AKitRevokedAtOneHubIsPutOutAtTheOther()
    {
        var (_, kit, _) = await Set();
        kit.Hub = _hubs.Second.Address;
        await kit.Connect();

        await _hubs.First.Get<KitRevocation>().Revoke(kit.KitId, "The kit was reported lost.", Token);

        Assert.Equal("The kit was reported lost.", await kit.Revoked.Task.WaitAsync(_limit, TimeProvider.System, Token));
        await Eventually.Holds(() => !_hubs.First.Get<KitLinks>().IsOnline(kit.KitId), "it is out of reach", _limit, Token);
    }

    [Fact]
    public async Task AnAgentOfAnotherVersionIsRefusedAtEitherHubBeforeConsent()
    {
        var (clinician, kit, session) = await Set();
        await using var console = await Console(_hubs.First, clinician, session);
        foreach (var (hub, version) in new[] { (_hubs.First, Protocol.OldestAccepted - 1), (_hubs.Second, Protocol.Version + 1) })
        {
            kit.Hub = hub.Address;
            var refusal = (await kit.Connect(version: version)).Refusal!;
            Assert.Equal(RefusalCodes.ProtocolVersion, refusal.Code);
            Assert.NotNull(refusal.Remedy);
            await kit.Disconnect();
        }

        await console.Must(new TakeControl());
        Assert.Equal(RefusalCodes.GateNotMet, (await console.Ask(new Advance())).Refusal!.Code);
        Assert.Equal(SessionStage.Connecting, (await console.Watch(session)).View!.Stage);
    }

    [Fact]
    public async Task WhatOneHubErasesTheOtherReadsNoMore()
    {
        var (_, _, session) = await Set();
        var store = _hubs.Second.Get<SessionStore>();
        Assert.Equal("Ottilie Brandvold", (await store.Load(session, Token))!.Plan.Person.Name);

        await _hubs.First.Get<PersonErasure>().Erase("P-0001", "She asked for it.", null, 0, Token);

        Assert.Equal("(erased)", (await store.Load(session, Token))!.Plan.Person.Name);
        await using var connection = new NpgsqlConnection(_hubs.Second.Get<HubSettings>().Database);
        await connection.OpenAsync(Token);
        Assert.Empty((await StoreVerifier.Verify(connection, [], _hubs.Second.Get<Seals>(), Token)).Faults);
    }

    [Fact]
    public async Task ASecondHubWithoutAWireIsNotStarted()
    {
        using var files = new TempFolder();
        var change = await TwoHubs.Settings(files, redis: null);
        await using var alone = await RunningHub.Start(change: change);

        var fault = await Assert.ThrowsAsync<InvalidOperationException>(() => RunningHub.Start(change: change));

        Assert.Contains("more than one hub need Redis", fault.Message, StringComparison.Ordinal);
    }

    private async Task<(string Clinician, TestKit Kit, SessionId Session)> Set()
    {
        var clinician = await _hubs.First.Person("Maren Toft", Roles.Clinician);
        return (clinician, await _hubs.First.Kit(), await _hubs.First.Session(clinician));
    }

    private static async Task<TestConsole> Console(RunningHub hub, string person, SessionId session)
    {
        var console = await hub.Console(person);
        await console.Watch(session);
        return console;
    }

    private static async Task<LeaseGrant> Lease(TestKit kit, Func<LeaseGrant, bool> fits)
    {
        LeaseGrant grant;
        do
        {
            grant = await kit.Leases.Reader.ReadAsync(Token);
        }
        while (!fits(grant));
        return grant;
    }

    private static async Task<HubContext> Context(RunningHub hub) => await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);

    private async Task Noted(SessionId session)
    {
        await using var context = await Context(_hubs.First);
        await Eventually.Holds(() => context.ControlHeard.AsNoTracking().Any(row => row.SessionId == session.Value), "it was noted", _limit, Token);
    }
}
