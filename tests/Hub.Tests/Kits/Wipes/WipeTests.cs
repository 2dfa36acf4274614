using System.Security.Cryptography;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Kits.Wipes;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Wipes;

/// <summary>What is left of a session on a kit, seen from the hub: asked for, attested, kept with kit and session, held when it is missing.</summary>
public sealed class WipeTests : IAsyncLifetime
{
    private SessionAtTesting _at = null!;

    public async ValueTask InitializeAsync() => _at = await SessionAtTesting.Start();

    public ValueTask DisposeAsync() => _at.DisposeAsync();

    [Fact]
    public async Task AnAttestationIsKeptWithKitAndSessionAndTheHubsHalfOfTheJournalIsGone()
    {
        var first = _at.Kit.JournalId;
        var key = (await _at.Kit.Connect()).JournalKeyBase64;
        await _at.Console.Must(new Abort("enough for today"));
        Assert.Contains(KitHoldKind.DataNotWiped, await Holds());

        var reply = await _at.Kit.Attest();

        Assert.Null(reply.Refusal);
        Assert.DoesNotContain(KitHoldKind.DataNotWiped, await Holds());
        var fact = Assert.Single((await Kit()).History.Select(recorded => recorded.Fact).OfType<DataWiped>());
        Assert.Equal((first, _at.Kit.Thumbprint), (fact.JournalId, fact.Key));
        await _at.Console.Watch(_at.Session);
        Assert.Contains(_at.Console.View!.Timeline, line => line.Text.Contains("nothing of this session is left on it", StringComparison.Ordinal));

        // The journal that was wiped gets another key should somebody ask for it: the one it was sealed with is nowhere.
        Assert.NotEqual(key, await _at.Hub.Get<JournalKeys>().Of(_at.Kit.KitId, first, TestContext.Current.CancellationToken));
        Assert.Equal(reply.JournalKeyBase64, (await _at.Kit.Connect()).JournalKeyBase64);
    }

    [Fact]
    public async Task AnAttestationThatIsNotTheKitsOrClaimsMoreThanWasConfirmedLiftsNothing()
    {
        using var stranger = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        await _at.Console.Must(new Abort("enough for today"));

        async Task<string?> Refused(Func<KitWipe, KitWipe>? change = null, ECDsa? key = null) => (await _at.Kit.Attest([_at.Session], change, key)).Refusal?.Code;

        Assert.Equal(RefusalCodes.KitNotProven, await Refused(key: stranger));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(word => word with { KitId = new KitId("kit-02") }));
        Assert.Equal(RefusalCodes.KitNotProven, await Refused(word => word with { Key = "another key" }));
        Assert.Equal(RefusalCodes.OutOfOrder, await Refused(word => word with { LastSequence = word.LastSequence + 1 }));
        Assert.Contains(KitHoldKind.DataNotWiped, await Holds());

        // Another kit's word says nothing of this one.
        await using var other = await _at.Hub.Kit("kit-02");
        await other.Connect();
        Assert.Null((await other.Attest([_at.Session])).Refusal);
        Assert.Contains(KitHoldKind.DataNotWiped, await Holds());

        Assert.Null(await Refused());
        Assert.DoesNotContain(KitHoldKind.DataNotWiped, await Holds());
    }

    [Fact]
    public async Task ASessionThatGoesOnIsNotAttested()
    {
        Assert.Null((await _at.Kit.Attest([_at.Session])).Refusal);

        await _at.Console.Must(new Abort("enough for today"));
        Assert.Contains(KitHoldKind.DataNotWiped, await Holds());
    }

    [Fact]
    public async Task AKitThatWasAwayWhenTheSessionEndedIsAskedWhenItComesBack()
    {
        await _at.Kit.Disconnect();
        await _at.Console.Until(view => view.Stage == SessionStage.LinkLost);
        await _at.Console.Must(new Abort("the link does not come back"));
        Assert.Contains(KitHoldKind.DataNotWiped, await Holds());

        await _at.Kit.Connect();

        Assert.Null((await _at.Kit.Attest()).Refusal);
        Assert.DoesNotContain(KitHoldKind.DataNotWiped, await Holds());
    }

    [Fact]
    public async Task ASessionThatEndedBeforeItsKitCheckWhileTheKitWasAwayIsWipedToo()
    {
        await using var hub = await RunningHub.Start();
        var clinician = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(clinician);
        await using var console = await hub.Console(await hub.SignIn(clinician));
        await console.Watch(session);
        await kit.Connect();
        await console.Must(new TakeControl());
        await console.Must(new Advance());
        await kit.Report(session, new HelpCalled());
        await kit.Disconnect();
        await console.Until(view => view.Stage == SessionStage.LinkLost);
        await console.Must(new Abort("the link does not come back"));

        await kit.Connect();
        Assert.Null((await kit.Attest()).Refusal);

        await console.Watch(session);
        Assert.Contains(console.View!.Timeline, line => line.Text.Contains("nothing of this session is left on it", StringComparison.Ordinal));
        Assert.Empty((await hub.Get<KitFacts>().Load(kit.KitId, TestContext.Current.CancellationToken))!.State.Unwiped);
    }

    [Fact]
    public async Task AStopPressedAfterTheWipeIsKeptWithTheSessionAndWipedAndAttestedAnew()
    {
        await _at.Console.Must(new Abort("enough for today"));
        await _at.Kit.Attest();

        await _at.Kit.Report(_at.Session, new StopPressed());
        var order = await _at.Kit.Wipes.Reader.ReadAsync(TestContext.Current.CancellationToken);
        Assert.Equal([_at.Session], order.Sessions);
        Assert.Null((await _at.Kit.Attest(order.Sessions)).Refusal);

        var loaded = await _at.Hub.Get<SessionStore>().Load(_at.Session, TestContext.Current.CancellationToken);
        Assert.True(loaded!.State.History is [.., { Event: KitDataWiped { LastSequence: > 1 } }, { Event: SiteStopPressed }, { Event: KitDataWiped { LastSequence: 1 } }]);
    }

    [Fact]
    public async Task AKitThatIsInNoSessionIsAskedToWipeAJournalThatIsNotEmpty()
    {
        await _at.Console.Must(new Abort("enough for today"));
        await _at.Kit.Attest();
        await _at.Kit.Report(null, new StopPressed());
        await _at.Kit.Wipes.Reader.ReadAsync(TestContext.Current.CancellationToken);

        // It was cut off before it could; nothing is left to attest, and the journal is not empty.
        await _at.Kit.Connect();

        var order = await _at.Kit.Wipes.Reader.ReadAsync(TestContext.Current.CancellationToken);
        Assert.Empty(order.Sessions);
        Assert.Null((await _at.Kit.Attest(order.Sessions)).Refusal);
        while (_at.Kit.Scenes.Reader.TryRead(out _))
        {
            // Scenes from before: the next one comes after whatever the greeting asks.
        }

        await _at.Kit.Connect();
        await _at.Kit.UntilScene(_ => true);
        Assert.False(_at.Kit.Wipes.Reader.TryRead(out _));
    }

    [Fact]
    public async Task AKitThatLaidJournalsAsideIsHeldUntilSomebodyGivesThemUp()
    {
        await _at.Console.Must(new Abort("enough for today"));
        Assert.Null((await _at.Kit.Attest(word => word with { LaidAside = 1 })).Refusal);

        Assert.DoesNotContain((await Kit()).History, recorded => recorded.Fact is DataWiped);
        Assert.Contains((await Kit()).History, recorded => recorded.Fact is HoldPlaced { Kind: KitHoldKind.DataNotWiped });
        Assert.Contains(KitHoldKind.DataNotWiped, await Holds());
        await _at.Kit.Connect();
        Assert.Null((await _at.Kit.Wipes.Reader.ReadAsync(TestContext.Current.CancellationToken)).GiveUp);

        await using var console = await _at.Hub.Console(await _at.Hub.Person("Pella Nyström", Roles.Coordinator));
        await console.MustKit(_at.Kit.KitId, new LiftHold(KitHoldKind.DataNotWiped, "Nobody needs them: the session was repeated."));
        await _at.Kit.Connect();
        var order = await _at.Kit.Wipes.Reader.ReadAsync(TestContext.Current.CancellationToken);

        Assert.True(order.GiveUp);
        Assert.Null((await _at.Kit.Attest(order.Sessions)).Refusal);
        Assert.DoesNotContain(KitHoldKind.DataNotWiped, await Holds());
        Assert.False(LaidAside.GivenUp(await Kit()));
    }

    [Fact]
    public async Task KeysOfOlderJournalsGoOnceTheKitIsInNoSessionAndFullyWiped()
    {
        var keys = _at.Hub.Get<JournalKeys>();
        var older = JournalId.New();
        var key = await keys.Of(_at.Kit.KitId, older, TestContext.Current.CancellationToken);

        // In a session every key may still be needed.
        await _at.Kit.Connect();
        Assert.Equal(key, await keys.Of(_at.Kit.KitId, older, TestContext.Current.CancellationToken));

        await _at.Console.Must(new Abort("enough for today"));
        var current = (await _at.Kit.Attest()).JournalKeyBase64;
        key = await keys.Of(_at.Kit.KitId, older, TestContext.Current.CancellationToken);

        Assert.Equal(current, (await _at.Kit.Connect()).JournalKeyBase64);
        Assert.NotEqual(key, await keys.Of(_at.Kit.KitId, older, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task WhoAnswersForTheKitsLiftsTheHoldWithAReasonWhenTheKitCannotAttest()
    {
        await _at.Console.Must(new Abort("enough for today"));
        var pella = await _at.Hub.Person("Pella Nyström", Roles.Coordinator);
        await using var console = await _at.Hub.Console(pella);

        await console.MustKit(_at.Kit.KitId, new LiftHold(KitHoldKind.DataNotWiped, "Its disk was broken and has been destroyed."));

        Assert.DoesNotContain(KitHoldKind.DataNotWiped, await Holds());
        Assert.Contains((await Kit()).History, recorded => recorded.Fact is HoldLifted { Reason: "Its disk was broken and has been destroyed." });
    }

    private async Task<KitState> Kit() => (await _at.Hub.Get<KitFacts>().Load(_at.Kit.KitId, TestContext.Current.CancellationToken))!.State;

    private async Task<IReadOnlyList<KitHoldKind>> Holds() =>
        [.. KitHolds.Of(await Kit(), [], DateOnly.FromDateTime(TimeProvider.System.GetUtcNow().Date)).Select(hold => hold.Kind)];
}
