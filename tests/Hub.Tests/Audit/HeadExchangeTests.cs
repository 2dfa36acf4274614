using Microsoft.AspNetCore.SignalR.Client;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Verification;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Audit;

/// <summary>Kits hold the ends of the hub's chains; what was cut from outside shows when they show them back.</summary>
public sealed class HeadExchangeTests
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    [Fact]
    public async Task AHeadTheStoreDoesNotHoldIsRecordedOnceAndShownToTheOwner()
    {
        await using var hub = await RunningHub.Start();
        var pella = await hub.Person("Pella Ordway", Roles.Owner);
        var maren = await hub.Person("Maren Toft", Roles.Clinician);
        await using var kit = await hub.Kit();
        var session = await hub.Session(maren);
        await using var console = await hub.Console(maren);
        await console.Watch(session);
        await console.Ask(new TakeControl());
        var exchange = hub.Get<HeadExchange>();
        var held = await exchange.Newest(session, Token);
        Assert.Equal(["audit", session.Value.ToString("N")], held.Select(head => head.Chain));

        await exchange.Look(kit.KitId, held, Token);
        await using var owner = await hub.Console(pella);
        Assert.Empty((await Search(owner)).HeadsMissing);

        // somebody cuts the end, count and all
        await using (var context = await hub.Get<IDbContextFactory<HubContext>>().CreateDbContextAsync(Token))
        {
            await context.SessionEvents.Where(row => row.SessionId == session.Value && row.Sequence == held[1].Sequence).ExecuteDeleteAsync(Token);
        }

        await exchange.Look(kit.KitId, held, Token);
        await exchange.Look(kit.KitId, held, Token);

        var missing = Assert.Single((await Search(owner)).HeadsMissing);
        Assert.Equal((kit.KitId.Value, RefusalCodes.HeadMissing), (missing.Who, missing.Refused));
        Assert.Equal([$"session {session}, entry {held[1].Sequence}"], missing.About);
    }

    [Fact]
    public async Task TheHeadsOfAllChainsAreWhatAVerificationFinds()
    {
        await using var hub = await RunningHub.Start();
        var pella = await hub.Person("Pella Ordway", Roles.Owner);
        await using var kit = await hub.Kit();
        await hub.Session(pella);
        using var browser = new HttpClient(new HttpClientHandler { CookieContainer = await hub.SignIn(pella) }) { BaseAddress = hub.Address };

        var read = HeadsFile.Read(await browser.GetStringAsync("/api/audit/heads", Token));

        await using var connection = new Microsoft.Data.Sqlite.SqliteConnection($"Data Source={Path.Combine(hub.DataFolder, StorageRegistration.FileName)};Mode=ReadOnly;Pooling=False");
        await connection.OpenAsync(Token);
        var verdict = await StoreVerifier.Verify(connection, read, null, Token);
        Assert.Empty(verdict.Faults);
        Assert.Equal(verdict.Heads.Select(head => head.Chain).Order(), read.Select(head => head.Chain).Order());
        Assert.Equal(verdict.Heads.Where(head => head.Chain != "audit").ToHashSet(), read.Where(head => head.Chain != "audit").ToHashSet());
    }

    private static Task<AuditReply> Search(TestConsole console) =>
        console.Connection.InvokeAsync<AuditReply>(nameof(IConsoleHub.ReadAudit), new AuditSearch(null, null, null, false, null, null, null), Token);
}
