using System.Collections.Concurrent;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>Reads the facts of kits. They are appended by <see cref="SessionStore.Append"/>, in one transaction with what else belongs to it.</summary>
internal sealed class KitFactStore
{
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly Seals _seals;

    // For lists, and for what a decision asks about the other kits: which transducer each told. The kit a decision is about is loaded with its chain verified.
    private readonly ConcurrentDictionary<string, KitState> _folds = new();

    private readonly IEventLog _log;
    private readonly Remembered<IReadOnlyDictionary<string, KitState>> _states;
    private readonly ConcurrentDictionary<KitId, Remembered<LoadedKit?>> _loaded = new();

    public KitFactStore(IDbContextFactory<HubContext> contexts, IEventLog log, Seals seals)
    {
        (_contexts, _log, _seals) = (contexts, log, seals);
        _states = new Remembered<IReadOnlyDictionary<string, KitState>>(log, states => states.Values.All(state => state.BrokenAt is null));
    }

    /// <summary>Reads a kit and verifies its chain, unless that was done and nobody has written since.</summary>
    /// <returns>Null when there is no such kit.</returns>
    public async Task<LoadedKit?> Load(KitId kitId, CancellationToken cancellationToken)
    {
        var loaded = await _loaded.GetOrAdd(kitId, _ => new Remembered<LoadedKit?>(_log, kit => kit?.Integrity.Valid is true)).Get(token => Verify(kitId, token), cancellationToken);
        if (loaded is null)
        {
            // Of kits that are not there nothing is kept, whoever asks for how many.
            _loaded.TryRemove(kitId, out _);
        }

        return loaded;
    }

    private async Task<LoadedKit?> Verify(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var kit = await context.Kits.AsNoTracking().SingleOrDefaultAsync(row => row.KitId == kitId.Value, cancellationToken);
        return kit is null ? null : await Load(context, kit, cancellationToken);
    }

    /// <summary>The state of a kit, from memory where nothing was added, by whichever hub. Asked at every command of a session that follows a protocol.</summary>
    /// <returns>Null when there is no such kit.</returns>
    public async Task<KitState?> State(KitId kitId, CancellationToken cancellationToken)
    {
        if (_folds.TryGetValue(kitId.Value, out var known) && await _log.FindFactVersion(kitId, cancellationToken) == known.Version)
        {
            return known;
        }

        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var kit = await context.Kits.AsNoTracking().SingleOrDefaultAsync(row => row.KitId == kitId.Value, cancellationToken);
        return kit is null ? null : (await States([kit], cancellationToken))[kit.KitId];
    }

    /// <summary>The states of kits for lists, from memory where nothing was added.</summary>
    public async Task<IReadOnlyDictionary<string, KitState>> States(IReadOnlyList<KitEntity> kits, CancellationToken cancellationToken)
    {
        var stale = kits.Where(kit => !_folds.TryGetValue(kit.KitId, out var known) || known.Version != kit.FactVersion).ToList();
        if (stale.Count > 0)
        {
            await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
            foreach (var kit in stale)
            {
                _folds[kit.KitId] = (await Load(context, kit, cancellationToken)).State;
            }
        }

        return kits.ToDictionary(kit => kit.KitId, kit => _folds[kit.KitId]);
    }

    /// <summary>The states of all kits, from memory where nobody has written. Asked at every command.</summary>
    public Task<IReadOnlyDictionary<string, KitState>> States(CancellationToken cancellationToken) => _states.Get(ReadStates, cancellationToken);

    private async Task<IReadOnlyDictionary<string, KitState>> ReadStates(CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await States(await context.Kits.AsNoTracking().ToListAsync(cancellationToken), cancellationToken);
    }

    /// <summary>When each session of a kit that was begun was last active, and where it stands.</summary>
    public async Task<IReadOnlyList<KitSessionUse>> Sessions(KitId kitId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.Sessions.AsNoTracking()
            .Where(row => row.KitId == kitId.Value)
            .ToListAsync(cancellationToken);
        return
        [
            .. rows.Select(row => new KitSessionUse(
                new SessionId(row.SessionId),
                new DateTimeOffset(row.LastEventTicks, TimeSpan.Zero),
                new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero),
                Enum.Parse<SessionStage>(row.Stage),
                row.PersonReference)),
        ];
    }

    private async Task<LoadedKit> Load(HubContext context, KitEntity kit, CancellationToken cancellationToken)
    {
        var rows = await context.KitFacts.AsNoTracking().Where(row => row.KitId == kit.KitId).OrderBy(row => row.Sequence).ToListAsync(cancellationToken);
        var state = rows
            .Select(row => new RecordedFact(row.Sequence, new DateTimeOffset(row.TimeTicks, TimeSpan.Zero), KitFactCatalog.Read(row.Kind, row.Shape, _seals.Open(row))))
            .Aggregate(KitState.Empty(new KitId(kit.KitId)), KitFold.Apply);
        var integrity = HashChain.Verify(rows, kit.FactVersion);
        return new LoadedKit(state with { BrokenAt = integrity.BrokenAtSequence }, kit, integrity, rows.Count == 0 ? HashChain.Start : rows[^1].Hash);
    }
}

/// <summary>A session a kit is or was planned for.</summary>
internal sealed record KitSessionUse(SessionId SessionId, DateTimeOffset LastActive, DateTimeOffset PlannedStart, SessionStage Stage, string PersonReference);
