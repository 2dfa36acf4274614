using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Audit;

/// <summary>The owner finds who did what; nobody else looks.</summary>
public sealed class ReadAuditTests : IAsyncLifetime
{
    private static readonly AuditSearch _everything = new(null, null, null, false, null, null, null);

    private RunningHub _hub = null!;
    private TestConsole _owner = null!;
    private string _maren = null!;

    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async ValueTask InitializeAsync()
    {
        _hub = await RunningHub.Start();
        _maren = await _hub.Person("Maren Toft", Roles.Clinician);
        _owner = await _hub.Console(await _hub.Person("Runa Eide", Roles.Owner));
    }

    public async ValueTask DisposeAsync()
    {
        await _owner.DisposeAsync();
        await _hub.DisposeAsync();
    }

    [Fact]
    public async Task ASearchFindsByNameSubjectActAndOutcome()
    {
        var log = _hub.Get<AuditLog>();
        await log.Write(new AuditEntry("request WatchSessionQuery", _maren, null, ["session one"], null));
        await log.Write(new AuditEntry("request WatchSessionQuery", _maren, null, ["session two"], RefusalCodes.SessionUnknown));
        await log.Write(new AuditEntry("request GreetKit", null, "kit-07", [], RefusalCodes.KitRevoked));

        Assert.Equal(["session two", "session one"], (await Read(_everything with { Who = "maren", What = "watch" })).Lines.Select(line => Assert.Single(line.About)));
        Assert.Equal("Watch a session", (await Read(_everything with { About = "one" })).Lines[0].What);
        Assert.Equal(["kit-07", "Maren Toft"], (await Read(_everything with { RefusedOnly = true })).Lines.Select(line => line.Who!));
        Assert.Empty((await Read(_everything with { Until = new DateOnly(2020, 1, 1) })).Lines);
        Assert.Equal(RefusalCodes.Invalid, (await Read(_everything with { From = new DateOnly(2026, 3, 2), Until = new DateOnly(2026, 3, 1) })).Refusal?.Code);
        Assert.Equal(RefusalCodes.Invalid, (await Read(_everything with { What = new string('x', AuditSearch.LongestText + 1) })).Refusal?.Code);
    }

    [Fact]
    public async Task PagesFollowEachOtherWithoutAGap()
    {
        var log = _hub.Get<AuditLog>();
        await Task.WhenAll(Enumerable.Range(0, 120).Select(number => log.Write(new AuditEntry("many", _maren, null, [$"number {number}"], null))));

        var seen = new List<AuditLine>();
        AuditReply page;
        do
        {
            page = await Read(_everything with { What = "many", Before = seen.Count == 0 ? null : seen[^1].Sequence });
            seen.AddRange(page.Lines);
        }
        while (page.More);

        Assert.Equal(120, seen.Count);
        Assert.Equal(seen.OrderByDescending(line => line.Sequence), seen);
    }

    [Fact]
    public async Task ASearchIsItselfRecordedAndRefusedToOthers()
    {
        await using var clinician = await _hub.Console(_maren);

        Assert.Equal(RefusalCodes.RoleNotAllowed, (await clinician.Connection.InvokeAsync<AuditReply>(nameof(IConsoleHub.ReadAudit), _everything, Token)).Refusal?.Code);
        var lines = (await Read(_everything with { What = "audit" })).Lines;

        Assert.Equal([("Runa Eide", null), ("Maren Toft", RefusalCodes.RoleNotAllowed)], lines.Select(line => (line.Who, line.Refused)));
    }

    private Task<AuditReply> Read(AuditSearch search) => _owner.Connection.InvokeAsync<AuditReply>(nameof(IConsoleHub.ReadAudit), search, Token);
}
