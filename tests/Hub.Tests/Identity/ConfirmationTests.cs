using System.Net;
using System.Net.Http.Json;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Identity;

/// <summary>What hurts at a desk left open is asked for with a fresh proof, and a covered console is refused all but silence.</summary>
public sealed class ConfirmationTests : IAsyncLifetime
{
    private readonly FakeTimeProvider _clock = new(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));
    private RunningHub _hub = null!;

    public async ValueTask InitializeAsync() => _hub = await RunningHub.Start(configure: services => services.AddSingleton<TimeProvider>(_clock));

    public ValueTask DisposeAsync() => _hub.DisposeAsync();

    [Fact]
    public async Task ACommandAsksForAProofOnceTheLastOneIsFiveMinutesOld()
    {
        var pella = await _hub.Person("Pella Nyström", Roles.Coordinator);
        await using var kit = await _hub.Kit();
        await using var console = await _hub.Console(pella);

        // Within five minutes of signing in the hub only says that there is nothing to lift.
        Assert.NotEqual(RefusalCodes.ConfirmationNeeded, (await Lift(console, kit.KitId)).Refusal?.Code);
        _clock.Advance(SignIns.ProofCounts);

        var refusal = (await Lift(console, kit.KitId)).Refusal!;
        Assert.Equal(RefusalCodes.ConfirmationNeeded, refusal.Code);
        Assert.NotNull(refusal.Remedy);
        Assert.Contains((Door.Command<LiftHold>(), RefusalCodes.ConfirmationNeeded), await Refused());

        // What asks for none goes on as before, and what was done stands in no doubt.
        Assert.Null((await console.SendKit(Envelope(kit.KitId, new PlaceHold(KitHoldKind.SafetyNotice, "a notice")))).Refusal);
    }

    [Fact]
    public async Task AProofCountsForTheBrowserItWasGivenInAndEndsWithItsSignIn()
    {
        var pella = await _hub.Person("Pella Nyström", Roles.Coordinator);
        var here = await _hub.SignIn(pella);
        var there = await _hub.SignIn(pella);
        _clock.Advance(SignIns.ProofCounts);
        Assert.Equal(HttpStatusCode.Forbidden, await Revoke(here));

        await _hub.Get<SignIns>().Confirm(_hub.SignInIdOf(here));

        Assert.Equal(HttpStatusCode.NotFound, await Revoke(here));
        Assert.Equal(HttpStatusCode.Forbidden, await Revoke(there));
        using var browser = Browser(here);
        await browser.PostAsync("/sign-out", null, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.Unauthorized, await Revoke(here));
    }

    [Fact]
    public async Task AnAddressSaysInWordsThatItWantsAProof()
    {
        var cookies = await _hub.SignIn(await _hub.Person("Pella Nyström", Roles.Coordinator));
        _clock.Advance(SignIns.ProofCounts);
        using var browser = Browser(cookies);

        var answer = await browser.PostAsync("/api/kits/kit-77/revoke", null, TestContext.Current.CancellationToken);

        var refusal = await answer.Content.ReadFromJsonAsync<Refusal>(Protocol.Json, TestContext.Current.CancellationToken);
        Assert.Equal((HttpStatusCode.Forbidden, RefusalCodes.ConfirmationNeeded), (answer.StatusCode, refusal!.Code));
        Assert.Contains((Door.Http("POST", "/api/kits/{id}/revoke"), RefusalCodes.ConfirmationNeeded), await Refused());
    }

    [Fact]
    public async Task KeepingAProtocolAsksForAProofAndLookingAtOneDoesNot()
    {
        await using var console = await _hub.Console(await _hub.Person("Maren Toft", Roles.Clinician));
        _clock.Advance(SignIns.ProofCounts);
        var text = ProtocolFile.Write(ShippedProtocols.All[0]);

        async Task<string?> HandIn(bool keep) =>
            (await console.Connection.InvokeAsync<ProtocolReply>(nameof(IConsoleHub.HandInProtocol), text, keep, TestContext.Current.CancellationToken)).Refusal?.Code;

        Assert.NotEqual(RefusalCodes.ConfirmationNeeded, await HandIn(keep: false));
        Assert.Equal(RefusalCodes.ConfirmationNeeded, await HandIn(keep: true));
    }

    [Fact]
    public void TheCommandLineOfTheMachineAsksForNone()
    {
        var guard = _hub.Get<EntryGuard>();

        Assert.Null(guard.Refusal(new PersonCaller("id", "name", [Roles.Owner]), Door.Command<LiftHold>()));
        Assert.Equal(RefusalCodes.NotSignedIn, guard.Refusal(new PersonCaller("id", "name", [Roles.Owner]) { SignInId = string.Empty }, Door.Command<LiftHold>())!.Code);
    }

    [Fact]
    public async Task ACoveredConsoleIsRefusedEverythingButSilence()
    {
        var maren = await _hub.Person("Maren Toft", Roles.Clinician, Roles.Coordinator, Roles.Owner);
        var cookies = await _hub.SignIn(maren);
        var guard = _hub.Get<EntryGuard>();
        var id = _hub.SignInIdOf(cookies);
        var caller = new PersonCaller(maren, "Maren Toft", [Roles.Clinician, Roles.Coordinator, Roles.Owner]) { SignInId = id };
        Assert.Null(guard.Refusal(caller, Door.Command<OrderStep>()));

        await _hub.Get<SignIns>().Lock(id);

        var open = RightsTable.Doors
            .Where(door => RightsTable.Row(door)!.Who is var who && !who.HasFlag(Parties.Anyone) && (who & Parties.People) != Parties.None && guard.Refusal(caller, door) is null)
            .ToHashSet();
        Assert.Subset(RightsTable.Doors.Where(door => RightsTable.Row(door)!.WhileLocked).ToHashSet(), open);
        Assert.Contains(Door.Command<Hold>(), open);
        Assert.Contains(Door.Command<CutStep>(), open);
        Assert.DoesNotContain(Door.Command<OrderStep>(), open);
        using var browser = Browser(cookies);
        Assert.Equal(HttpStatusCode.Forbidden, (await browser.GetAsync("/api/board", TestContext.Current.CancellationToken)).StatusCode);
        Assert.Equal(HttpStatusCode.OK, (await browser.GetAsync("/api/me", TestContext.Current.CancellationToken)).StatusCode);

        // Uncovered by a proof, and by that confirmed as well.
        await _hub.Get<SignIns>().Confirm(id);
        Assert.Null(guard.Refusal(caller, Door.Command<LiftHold>()));
    }

    [Fact]
    public async Task WhatIsRefusedWhereItIsRecordedIsNotCarriedOutByAProofThatComesAMomentLater()
    {
        var maren = await _hub.Person("Maren Toft", Roles.Owner);
        var id = _hub.SignInIdOf(await _hub.SignIn(maren));
        await _hub.Get<SignIns>().Lock(id);
        var request = new ReadPeople(new PersonCaller(maren, "Maren Toft", [Roles.Owner]) { SignInId = id });
        var carriedOut = false;

        var answer = await new AuditBehaviour<ReadPeople, PeopleReply>(_hub.Get<AuditTrail>(), _hub.Get<EntryGuard>()).Handle(request, TestContext.Current.CancellationToken, () =>
        {
            carriedOut = true;
            return Task.FromResult(new PeopleReply([], null));
        });

        Assert.False(carriedOut);
        Assert.Equal(RefusalCodes.Locked, answer.Refusal?.Code);
        Assert.Contains((Door.Request<ReadPeople>(), RefusalCodes.Locked), await Refused());
    }

    [Fact]
    public async Task TheCoverOutlivesTheHub()
    {
        var cookies = await _hub.SignIn(await _hub.Person("Maren Toft", Roles.Clinician));
        var id = _hub.SignInIdOf(cookies);
        await _hub.Get<SignIns>().Lock(id);

        // As after a restart: read anew from the disk.
        var again = new SignIns(_hub.Get<IDbContextFactory<HubContext>>(), _hub.Get<LivePeople>(), _hub.Get<TeleHearing.Hub.Hosting.HubSettings>(), _hub.Get<TeleHearing.Hub.Neighbours.HubWire>(), _clock);

        Assert.True((await again.Find(id, TestContext.Current.CancellationToken))!.Locked);
    }

    private Task<Receipt> Lift(TestConsole console, KitId kit) =>
        console.SendKit(Envelope(kit, new LiftHold(KitHoldKind.SafetyNotice, "looked at it")));

    private KitCommandEnvelope Envelope(KitId kit, KitCommand command) => new(Protocol.Version, CommandId.New(), kit, _clock.GetUtcNow().AddSeconds(30), command);

    private async Task<HttpStatusCode> Revoke(CookieContainer cookies)
    {
        using var browser = Browser(cookies);
        return (await browser.PostAsync("/api/kits/kit-77/revoke", null, TestContext.Current.CancellationToken)).StatusCode;
    }

    private async Task<IReadOnlyList<(string Act, string? Code)>> Refused()
    {
        await using var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(TestContext.Current.CancellationToken);
        var rows = await context.AuditEntries.AsNoTracking().ToListAsync(TestContext.Current.CancellationToken);
        return [.. rows.Select(row => (row.Kind, AuditEntry.Read(row.Kind, row.Payload)!.Refused))];
    }

    private HttpClient Browser(CookieContainer cookies) => new(new HttpClientHandler { CookieContainer = cookies, AllowAutoRedirect = false }) { BaseAddress = _hub.Address };
}
