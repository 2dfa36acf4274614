using System.IO.Compression;
using System.Net;
using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Data;

/// <summary>The owner asks over the live connection and fetches, once, what was asked for.</summary>
public sealed class AskDataTests : IAsyncLifetime
{
    private RunningHub _hub = null!;
    private string _owner = null!;
    private TestConsole _console = null!;
    private SessionId _session;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _owner = await _hub.Person("Sunniva Hale", Roles.Owner);
        var maren = await _hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await _hub.Kit();
        _session = await _hub.Session(maren, reference: "P-0107");
        _console = await _hub.Console(_owner);
    }

    public async ValueTask DisposeAsync()
    {
        await _console.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task WhatIsAskedForIsFetchedOnceAndByNobodyElse()
    {
        var cookies = await _hub.SignIn(_owner);
        var export = await Ask(new ExportPerson("P-0107"));
        Assert.Equal(HttpStatusCode.NotFound, (await Fetch(await _hub.SignIn(await _hub.Person("Other Owner", Roles.Owner)), export.Ticket)).Status);
        var (status, archive) = await Fetch(cookies, export.Ticket);
        Assert.Equal(HttpStatusCode.OK, status);
        await using (var zip = new ZipArchive(new MemoryStream(archive)))
        {
            Assert.Contains(zip.Entries, entry => entry.FullName == "index.html");
        }

        Assert.Equal(HttpStatusCode.NotFound, (await Fetch(cookies, export.Ticket)).Status);
        var backup = await Ask(new BackUp("a sentence nobody guesses"));
        (status, archive) = await Fetch(cookies, backup.Ticket);
        Assert.Equal(HttpStatusCode.OK, status);
        await using (var zip = new ZipArchive(new MemoryStream(archive)))
        {
            Assert.Contains(zip.Entries, entry => entry.FullName == "hub.db");
        }
    }

    [Fact]
    public async Task ARunningHubShowsAnErasedPersonNoMore()
    {
        Assert.Equal("Ottilie Brandvold", await Name());

        var erased = await Ask(new ErasePerson("P-0107", "asked for by the person", 10));

        Assert.Equal(1, erased.Erasure!.Sessions);
        Assert.Equal("(erased)", await Name());
        Assert.Equal("P-0107", Assert.Single((await Ask(new ReadErasures())).Erasures!).Reference);
        Assert.Equal(RefusalCodes.Invalid, (await Ask(new ErasePerson("P-0107", "again", 10))).Refusal!.Code);
        Assert.Equal(RefusalCodes.Invalid, (await Ask(new BackUp("short"))).Refusal!.Code);
        Assert.Equal(RefusalCodes.Invalid, (await Ask(new ErasePerson("P-0107", "r", -1))).Refusal!.Code);
    }

    [Fact]
    public async Task WhoseDataWentOutAndWhatWasErasedStandsInTheAudit()
    {
        await Ask(new ExportPerson("P-0107"));
        await Ask(new ErasePerson("P-0107", "asked for by the person", 10));

        await using var context = await _hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token);
        var entries = (await context.AuditEntries.AsNoTracking().OrderBy(row => row.Sequence).ToListAsync(Token)).Select(row => AuditEntry.Read(row.Kind, row.Payload)!).ToList();
        Assert.All([Door.Command<ExportPerson>(), Door.Command<ErasePerson>()], door => Assert.Single(entries, entry => entry.Act == door && entry.PersonId == _owner));
        Assert.DoesNotContain(entries, entry => entry.Act == Door.Request<AskData>());
        Assert.All([AuditActs.PersonExported, AuditActs.PersonErased], act =>
        {
            var entry = Assert.Single(entries, entry => entry.Act == act);
            Assert.Equal((_owner, $"session {_session}"), (entry.PersonId, Assert.Single(entry.About)));
        });
        Assert.DoesNotContain(entries, entry => entry.Payload().Contains("P-0107", StringComparison.Ordinal));
    }

    private Task<DataReply> Ask(DataAsk ask) => _console.Connection.InvokeAsync<DataReply>(nameof(IConsoleHub.AskData), new DataEnvelope(Protocol.Version, ask), Token);

    private async Task<string> Name() => (await _console.WatchBoard()).Sessions.Single().Person.Name;

    private async Task<(HttpStatusCode Status, byte[] Body)> Fetch(CookieContainer cookies, Guid? ticket)
    {
        using var client = new HttpClient(new HttpClientHandler { CookieContainer = cookies }) { BaseAddress = _hub.Address };
        var answer = await client.GetAsync(new Uri($"{DataReply.Path}/{ticket}", UriKind.Relative), Token);
        return (answer.StatusCode, await answer.Content.ReadAsByteArrayAsync(Token));
    }
}
