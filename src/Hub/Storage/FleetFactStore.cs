using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>Reads the facts of the fleet. They are appended by <see cref="SessionStore.Append"/>, in one transaction with the facts of kits that belong to them.</summary>
internal sealed class FleetFactStore
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly Seals _seals;

    // What was verified last, and what it comes to. Replaced as a whole, so any thread may read it.
    private volatile Kept? _kept;

    private readonly Remembered<LoadedFleet> _loaded;

    public FleetFactStore(IDbContextFactory<HubContext> contexts, IEventLog log, Seals seals)
    {
        (_contexts, _seals) = (contexts, seals);
        _loaded = new Remembered<LoadedFleet>(log, fleet => fleet.Integrity.Valid);
    }

    /// <summary>Reads the fleet for showing. What this process has verified before is not verified again: the last of it must still be there with its hash, and what was added since must go on from it.</summary>
    public Task<LoadedFleet> Load(CancellationToken cancellationToken) => _loaded.Get(LoadNewer, cancellationToken);

    private async Task<LoadedFleet> LoadNewer(CancellationToken cancellationToken)
    {
        if (_kept is not { State.Version: > 0 } kept)
        {
            return await Verify(cancellationToken);
        }

        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var count = await Count(context, cancellationToken);
        var rows = await context.FleetFacts.AsNoTracking().Where(row => row.Sequence >= kept.State.Version).OrderBy(row => row.Sequence).ToListAsync(cancellationToken);
        if (rows.Count == 0 || rows[0].Sequence != kept.State.Version || !rows[0].Hash.AsSpan().SequenceEqual(kept.Head))
        {
            return await Verify(cancellationToken);
        }

        rows.RemoveAt(0);
        var integrity = HashChain.Verify(rows, count, kept.Head, kept.State.Version);
        return Keep(kept, rows, integrity);
    }

    /// <summary>Reads the fleet and verifies its whole chain: for whoever adds to it, and for whoever opens it.</summary>
    public async Task<LoadedFleet> Verify(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var count = await Count(context, cancellationToken);
        var rows = await context.FleetFacts.AsNoTracking().OrderBy(row => row.Sequence).ToListAsync(cancellationToken);
        var integrity = HashChain.Verify(rows, count);
        var kept = _kept;
        return integrity.Valid && kept is { State.Version: > 0 } && kept.State.Version <= rows.Count && rows[(int)kept.State.Version - 1].Hash.AsSpan().SequenceEqual(kept.Head)
            ? Keep(kept, [.. rows.Skip((int)kept.State.Version)], integrity)
            : Keep(new Kept(FleetState.Empty, HashChain.Start), rows, integrity);
    }

    // The count before the rows: a fact added in between then makes the list longer than the count, which is no damage.
    private static async Task<long> Count(HubContext context, CancellationToken cancellationToken) =>
        await context.FleetHeads.Where(row => row.Id == 1).Select(row => (long?)row.FactVersion).SingleOrDefaultAsync(cancellationToken) ?? 0;

    private LoadedFleet Keep(Kept start, List<FleetFactRow> added, IntegrityView integrity)
    {
        var state = added
            .Select(row => new RecordedFleetFact(row.Sequence, new DateTimeOffset(row.TimeTicks, TimeSpan.Zero), FleetFactCatalog.Read(row.Kind, row.Shape, _seals.Open(row))))
            .Aggregate(start.State, FleetFold.Apply);
        var head = added.Count == 0 ? start.Head : added[^1].Hash;

        // Nothing is kept of a log that does not hold: it is then verified whole each time, and says so each time.
        _kept = integrity.Valid ? new Kept(state, head) : null;
        if (!integrity.Valid)
        {
            _loaded.Forget();
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
            .ToListAsync(cancellationToken);
        return [.. rows.Select(row => new PlannedSession(new SessionId(row.SessionId), new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero), row.Place, new KitId(row.KitId)))];
    }

    private sealed record Kept(FleetState State, byte[] Head);
}

/// <summary>A session that is planned and has not begun.</summary>
internal sealed record PlannedSession(SessionId SessionId, DateTimeOffset PlannedStart, string Place, KitId KitId);
