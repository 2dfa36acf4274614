using System.Collections.Concurrent;
using System.Globalization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Audit;

/// <summary>Gives kits the newest heads of chains to hold, and looks at the ones they show back: a head the store does not hold any more is recorded for the owner.</summary>
/// <remarks>A kit serves all the same: what is wrong is the hub's store, and the person at the kit cannot help it.</remarks>
internal sealed class HeadExchange
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly IEventLog _log;
    private readonly AuditLog _audit;
    private readonly ConcurrentDictionary<(KitId, HeldHead), bool> _told = new();

    public HeadExchange(IDbContextFactory<HubContext> contexts, IEventLog log, AuditLog audit)
    {
        _log = log;
        _contexts = contexts;
        _audit = audit;
    }

    /// <summary>The newest head of the audit, and of a session if one is named.</summary>
    public async Task<IReadOnlyList<HeldHead>> Newest(SessionId? sessionId, CancellationToken cancellationToken)
    {
        var heads = new List<HeldHead>();
        if (await _log.FindAuditEnd(cancellationToken) is { } entry)
        {
            heads.Add(Head(AuditEntryRow.Chain, entry.Sequence, entry.Hash));
        }

        if (sessionId is { } session && await _log.FindEnd(session, cancellationToken) is { } last)
        {
            heads.Add(Head(SessionEventRow.ChainOf(session.Value), last.Sequence, last.Hash));
        }

        return heads;
    }

    /// <summary>The newest head of every chain, as a file to keep elsewhere.</summary>
    public async Task<IReadOnlyList<HeldHead>> All(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var sessions = await context.SessionEvents.AsNoTracking()
            .Where(row => !context.SessionEvents.Any(later => later.SessionId == row.SessionId && later.Sequence > row.Sequence))
            .Select(row => new { row.SessionId, row.Sequence, row.Hash }).ToListAsync(cancellationToken);
        var kits = await context.KitFacts.AsNoTracking()
            .Where(row => !context.KitFacts.Any(later => later.KitId == row.KitId && later.Sequence > row.Sequence))
            .Select(row => new { row.KitId, row.Sequence, row.Hash }).ToListAsync(cancellationToken);
        var fleet = await context.FleetFacts.AsNoTracking().OrderByDescending(row => row.Sequence).FirstOrDefaultAsync(cancellationToken);
        return
        [
            .. sessions.Select(row => Head(SessionEventRow.ChainOf(row.SessionId), row.Sequence, row.Hash)),
            .. kits.Select(row => Head(KitFactRow.ChainOf(row.KitId), row.Sequence, row.Hash)),
            .. fleet is null ? [] : new[] { Head(FleetFactRow.Chain, fleet.Sequence, fleet.Hash) },
            .. await Newest(null, cancellationToken),
        ];
    }

    /// <summary>Looks at what a kit shows back, and records each head that the store does not hold, once in a run of the hub.</summary>
    public async Task Look(KitId kitId, IReadOnlyList<HeldHead>? shown, CancellationToken cancellationToken)
    {
        foreach (var head in shown?.Take(HeldHead.MostHeld) ?? [])
        {
            if (head is not null && !await Holds(head, cancellationToken) && _told.TryAdd((kitId, head), true))
            {
                await _audit.Write(new AuditEntry(AuditActs.HeadMissing, null, kitId.Value, [About(head)], RefusalCodes.HeadMissing));
            }
        }
    }

    private async Task<bool> Holds(HeldHead head, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var hash = head.Chain == AuditEntryRow.Chain
            ? await context.AuditEntries.AsNoTracking().Where(row => row.Sequence == head.Sequence).Select(row => row.Hash).SingleOrDefaultAsync(cancellationToken)
            : Guid.TryParseExact(head.Chain, "N", out var session)
                ? await context.SessionEvents.AsNoTracking().Where(row => row.SessionId == session && row.Sequence == head.Sequence).Select(row => row.Hash).SingleOrDefaultAsync(cancellationToken)
                : null;
        return hash is not null && string.Equals(Convert.ToHexStringLower(hash), head.Hash, StringComparison.OrdinalIgnoreCase);
    }

    // Only ids: a chain is named by its session, and what a kit shows may be anything.
    private static string About(HeldHead head) => string.Create(
        CultureInfo.InvariantCulture,
        $"{(head.Chain == AuditEntryRow.Chain ? "audit" : Guid.TryParseExact(head.Chain, "N", out var session) ? $"session {session}" : "an unknown chain")}, entry {head.Sequence}");

    private static HeldHead Head(string chain, long sequence, byte[] hash) => new(chain, sequence, Convert.ToHexStringLower(hash));
}
