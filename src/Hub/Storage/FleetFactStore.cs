using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;

namespace TeleHearing.Hub.Storage;

/// <summary>Reads the facts of the fleet. They are appended by <see cref="SessionStore.Append"/>, in one transaction with the facts of kits that belong to them.</summary>
internal sealed class FleetFactStore
{
    private readonly IDbContextFactory<HubContext> _contexts;

    // A fold is used again only when the row at its version still has the hash it was made from and the chain up to there holds. Replaced as a whole, so any thread may read it.
    private volatile Kept? _kept;

    public FleetFactStore(IDbContextFactory<HubContext> contexts) => _contexts = contexts;

    /// <summary>Reads the fleet and verifies its chain.</summary>
    public async Task<LoadedFleet> Load(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);

        // The count first: a fact added in between then makes the list longer than the count, which is no damage.
        var count = await context.FleetHeads.Where(row => row.Id == 1).Select(row => (long?)row.FactVersion).SingleOrDefaultAsync(cancellationToken) ?? 0;
        var rows = await context.FleetFacts.AsNoTracking().OrderBy(row => row.Sequence).ToListAsync(cancellationToken);
        var integrity = HashChain.Verify(rows, count);
        var start = integrity.Valid && _kept is { } kept && kept.State.Version > 0 && kept.State.Version <= rows.Count && rows[(int)kept.State.Version - 1].Hash.AsSpan().SequenceEqual(kept.Head)
            ? kept.State
            : FleetState.Empty;
        var state = rows.Skip((int)start.Version)
            .Select(row => new RecordedFleetFact(row.Sequence, new DateTimeOffset(row.TimeTicks, TimeSpan.Zero), FleetFactCatalog.Read(row.Kind, row.Shape, row.Payload)))
            .Aggregate(start, FleetFold.Apply);
        var head = rows.Count == 0 ? HashChain.Start : rows[^1].Hash;
        if (integrity.Valid)
        {
            _kept = new Kept(state, head);
        }

        return new LoadedFleet(state, integrity, head);
    }

    /// <summary>Planned sessions that have not begun, soonest first. Who is tested is not read.</summary>
    public async Task<IReadOnlyList<PlannedSession>> PlannedSessions(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.Sessions.AsNoTracking()
            .Where(row => row.Stage == nameof(SessionStage.Scheduled))
            .OrderBy(row => row.PlannedStartTicks)
            .Select(row => new { row.SessionId, row.PlannedStartTicks, row.Place, row.KitId })
            .ToListAsync(cancellationToken);
        return [.. rows.Select(row => new PlannedSession(new SessionId(row.SessionId), new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero), row.Place, new KitId(row.KitId)))];
    }

    private sealed record Kept(FleetState State, byte[] Head);
}

/// <summary>A session that is planned and has not begun.</summary>
internal sealed record PlannedSession(SessionId SessionId, DateTimeOffset PlannedStart, string Place, KitId KitId);
