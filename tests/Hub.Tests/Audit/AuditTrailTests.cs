using System.Net;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Audit;

/// <summary>What people see, do and are refused stands in the audit, by ids alone, before they are answered.</summary>
public sealed class AuditTrailTests : IAsyncLifetime
{
    private RunningHub _hub = null!;
    private string _maren = null!;
    private string _pella = null!;
    private SessionId _session;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _maren = await _hub.Person("Maren Toft", Roles.Clinician);
        _pella = await _hub.Person("Pella Nyström", Roles.Coordinator);
        await using var kit = await _hub.Kit();
        _session = await _hub.Session(_maren);
    }

    public ValueTask DisposeAsync() => _hub.DisposeAsync();

    [Fact]
    public async Task AViewIsRecordedBeforeItIsShown()
    {
        await using var console = await _hub.Console(_maren);

        await console.Watch(_session);

        var entry = Assert.Single(await Entries(Door.Request<WatchSessionQuery>()));
        Assert.Equal((_maren, $"session {_session}", null), (entry.PersonId, Assert.Single(entry.About), entry.Refused));
    }

    [Fact]
    public async Task WhatIsRefusedIsRecordedWithItsReason()
    {
        await using var console = await _hub.Console(_pella);
        using var browser = await Browser(_pella);
        using var stranger = new HttpClient { BaseAddress = _hub.Address };

        Assert.NotNull((await console.Watch(_session)).Refusal);
        await browser.GetAsync($"/api/sessions/{_session}/record?to=clinic", Token);
        await stranger.GetAsync($"/api/sessions/{_session}/record?to=clinic", Token);

        Assert.Equal((_pella, RefusalCodes.RoleNotAllowed), Of(Assert.Single(await Entries(Door.Request<WatchSessionQuery>()))));
        var refused = await Entries("GET /api/sessions/{id:guid}/record");
        Assert.Equal([(_pella, RefusalCodes.RoleNotAllowed), (null, RefusalCodes.NotSignedIn)], refused.Select(Of));
        Assert.All(refused, entry => Assert.Equal([$"session {_session}"], entry.About));

        static (string?, string?) Of(AuditEntry entry) => (entry.PersonId, entry.Refused);
    }

    [Fact]
    public async Task ADownloadIsRecordedAndAChangeFollows()
    {
        await using var console = await _hub.Console(_maren);
        using var browser = await Browser(_maren);
        await console.Watch(_session);

        Assert.Equal(HttpStatusCode.OK, (await browser.GetAsync($"/api/sessions/{_session}/record?to=clinic", Token)).StatusCode);
        await console.Must(new TakeControl());

        Assert.Equal(_maren, Assert.Single(await Entries("GET /api/sessions/{id:guid}/record")).PersonId);
        AuditEntry[] followed;
        do
        {
            followed = await Entries(Door.Command<TakeControl>());
        }
        while (followed.Length == 0);
        Assert.Equal((_maren, $"session {_session}"), (followed[0].PersonId, Assert.Single(followed[0].About)));
    }

    [Fact]
    public async Task ComingAndGoingIsRecordedAndNoCodeOrNameIsKept()
    {
        var link = await _hub.Get<SignInLinks>().Issue(_maren, Token);
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = new CookieContainer(), AllowAutoRedirect = false }) { BaseAddress = _hub.Address };

        await browser.Send(link);
        await browser.SendFrom("/sign-in", link);
        await browser.PostAsync("/sign-out", null, Token);

        Assert.Equal(_maren, Assert.Single(await Entries(AuditActs.SignedIn)).PersonId);
        Assert.Equal(RefusalCodes.SignInLink, Assert.Single(await Entries(AuditActs.SignInRefused)).Refused);
        Assert.Equal(_maren, Assert.Single(await Entries(AuditActs.SignedOut)).PersonId);
        await using var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        Assert.DoesNotContain(await context.AuditEntries.ToListAsync(Token), row => (row.Kind + row.Payload) is var text && (text.Contains(link["/sign-in/".Length..], StringComparison.Ordinal) || text.Contains("Toft", StringComparison.Ordinal) || text.Contains("Brandvold", StringComparison.Ordinal)));
    }

    [Fact]
    public async Task WhatCannotBeRecordedIsNotShown()
    {
        await using var console = await _hub.Console(_maren);
        using var browser = await Browser(_maren);
        await using (var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.Database.ExecuteSqlRawAsync("ALTER TABLE audit_entries RENAME TO audit_away", Token);
        }

        var reply = await console.Watch(_session);

        Assert.Equal((null, RefusalCodes.StorageFault), (reply.View, reply.Refusal?.Code));
        var download = await browser.GetAsync($"/api/sessions/{_session}/record?to=clinic", Token);
        Assert.Equal(HttpStatusCode.ServiceUnavailable, download.StatusCode);
        Assert.DoesNotContain("session.scheduled", await download.Content.ReadAsStringAsync(Token), StringComparison.Ordinal);
    }

    [Fact]
    public async Task ManyAtOnceAreOneChain()
    {
        var log = _hub.Get<AuditLog>();

        await Task.WhenAll(Enumerable.Range(0, 500).Select(number => log.Write(new AuditEntry("many", _maren, null, [$"number {number}"], null))));

        await using var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        var rows = await context.AuditEntries.AsNoTracking().OrderBy(row => row.Sequence).ToListAsync(Token);
        Assert.True(HashChain.Verify(rows, (await context.AuditHeads.SingleAsync(Token)).Entries).Valid);
        Assert.Equal(500, rows.Count(row => row.Kind == "many"));
    }

    private async Task<HttpClient> Browser(string person) => new(new HttpClientHandler { CookieContainer = await _hub.SignIn(person), AllowAutoRedirect = false }) { BaseAddress = _hub.Address };

    private async Task<AuditEntry[]> Entries(string act)
    {
        await using var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        var rows = await context.AuditEntries.AsNoTracking().Where(row => row.Kind == act).OrderBy(row => row.Sequence).ToListAsync(Token);
        return [.. rows.Select(row => AuditEntry.Read(row.Kind, row.Payload)!)];
    }
}
