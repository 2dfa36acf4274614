using System.Collections.Concurrent;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>The event log. Any thread may read and append; one append runs at a time in this process, and (session, sequence) decides between processes.</summary>
internal sealed class SessionStore : IDisposable
{
    /// <summary>Folds kept in memory at most.</summary>
    private const int FoldsKept = 256;

    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;
    private readonly Seals _seals;

    // SQLite takes one writer at a time; waiting here is cheaper than waiting at the file.
    private readonly SemaphoreSlim _writer = new(1, 1);

    // A fold is used again only when the row at its version still has the hash it was made from and the chain up to there holds.
    private readonly ConcurrentDictionary<Guid, (SessionState State, byte[] HeadHash)> _folds = new();

    public SessionStore(IDbContextFactory<HubContext> contexts, Seals seals, TimeProvider time)
    {
        _seals = seals;
        _contexts = contexts;
        _time = time;
    }

    /// <summary>Reads a session and verifies its chain.</summary>
    /// <returns>Null when there is none.</returns>
    public async Task<LoadedSession?> Load(SessionId sessionId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var plan = await context.Sessions.AsNoTracking().SingleOrDefaultAsync(row => row.SessionId == sessionId.Value, cancellationToken);
        if (plan is null)
        {
            return null;
        }

        var rows = await Rows(context, sessionId, cancellationToken);
        var integrity = HashChain.Verify(rows, plan.Version);
        return new LoadedSession(Fold(sessionId, rows, integrity), Facts(plan), integrity, rows.Count == 0 ? HashChain.Start : rows[^1].Hash);
    }

    /// <summary>The rows of a session as they are stored.</summary>
    /// <returns>Null when there is no such session.</returns>
    public async Task<IReadOnlyList<SessionEventRow>?> ReadRows(SessionId sessionId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.Sessions.AnyAsync(row => row.SessionId == sessionId.Value, cancellationToken)
            ? await Rows(context, sessionId, cancellationToken)
            : null;
    }

    /// <summary>Payload of a row as it was written.</summary>
    public string Text(SessionEventRow row) => _seals.Open(row);

    /// <summary>Appends to one or several sessions with what belongs to it, all or nothing.</summary>
    /// <exception cref="DbUpdateException">The disk failed; nothing was changed.</exception>
    /// <exception cref="System.Data.Common.DbException">The disk failed; nothing was changed.</exception>
    /// <exception cref="InvalidOperationException">A session in it was erased and takes nothing more; nothing was changed.</exception>
    public async Task<AppendOutcome> Append(AppendBatch batch, CancellationToken cancellationToken)
    {
        if (batch.Sessions.FirstOrDefault(append => append is { Events.Count: > 0, Loaded.State.Erased: true }) is { } closed)
        {
            throw new InvalidOperationException($"Session {closed.Loaded.State.SessionId} was erased: nothing can be added to its log.");
        }

        await _writer.WaitAsync(cancellationToken);
        try
        {
            await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
            await using var transaction = await context.Database.BeginTransactionAsync(cancellationToken);
            await StoreTurn.Take(context, StoreTurn.Log, cancellationToken);
            var after = new List<SessionState>();
            foreach (var append in batch.Sessions.Where(append => append.Events.Count > 0))
            {
                // The unique key decides; asking first only spares the ordinary lost race an exception.
                if (await HeadOf(context, append.Loaded.State.SessionId, cancellationToken) != append.Loaded.State.Version)
                {
                    return AppendOutcome.LostRace;
                }

                after.Add(await Add(context, append, cancellationToken));
            }

            foreach (var kit in batch.Kits)
            {
                await Enter(context, kit, cancellationToken);
            }

            foreach (var append in batch.KitFacts.Where(append => append.Facts.Count > 0))
            {
                if (!await KitFactWriter.Add(context, append, _seals, _time.GetUtcNow().UtcTicks, cancellationToken))
                {
                    return AppendOutcome.LostRace;
                }
            }

            foreach (var kitId in batch.KitsToRevoke)
            {
                await KitKeyWriter.Revoke(context, kitId, _time.GetUtcNow().UtcTicks, cancellationToken);
            }

            if (batch.FleetFacts is { Facts.Count: > 0 } fleet && !await FleetFactWriter.Add(context, fleet, _seals, _time.GetUtcNow().UtcTicks, cancellationToken))
            {
                return AppendOutcome.LostRace;
            }

            if (batch.Receipt is { } receipt)
            {
                context.CommandReceipts.Add(new CommandReceiptRow
                {
                    CommandId = receipt.Receipt.CommandId.Value,
                    SessionId = receipt.SessionId.Value,
                    Fingerprint = receipt.Fingerprint,
                    ReceiptJson = JsonSerializer.Serialize(receipt.Receipt, Protocol.Json),
                });
            }

            if (batch.Cursor is { } cursor)
            {
                await Keep(context, cursor, cancellationToken);
            }

            await context.SaveChangesAsync(cancellationToken);

            // From here on the caller's going away must not leave it open whether the commit happened.
            await transaction.CommitAsync(CancellationToken.None);
            batch.Committed(after);
            return AppendOutcome.Appended;
        }
        catch (DbUpdateException fault) when (StoreFaults.BrokenKeyOf(fault) is { } table)
        {
            return table == "command_receipts" ? AppendOutcome.CarriedOutBefore : AppendOutcome.LostRace;
        }
        finally
        {
            _writer.Release();
        }
    }

    /// <summary>Enters a session with its first event.</summary>
    public async Task Create(SessionEntity plan, SessionScheduled scheduled, CancellationToken cancellationToken)
    {
        // Its key first, durable: nothing may be sealed with a key that a power cut takes away.
        _seals.Keys.Ensure(Seals.ScopeOf(plan.SessionId));
        await _writer.WaitAsync(cancellationToken);
        try
        {
            await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
            await using var transaction = await context.Database.BeginTransactionAsync(cancellationToken);
            await StoreTurn.Take(context, StoreTurn.Log, cancellationToken);
            context.Sessions.Add(plan);
            var empty = SessionState.Empty(new SessionId(plan.SessionId));
            var loaded = new LoadedSession(empty, Facts(plan), new IntegrityView(true, null), HashChain.Start);
            await Add(context, new SessionAppend(loaded, [scheduled]), cancellationToken);
            await transaction.CommitAsync(CancellationToken.None);
        }
        finally
        {
            _writer.Release();
        }
    }

    /// <summary>The receipt of a command carried out before, with the fingerprint of what was asked then.</summary>
    public async Task<(Receipt Receipt, byte[] Fingerprint)?> FindReceipt(CommandId commandId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        var row = await context.CommandReceipts.AsNoTracking().SingleOrDefaultAsync(found => found.CommandId == commandId.Value, cancellationToken);
        return row is not { ReceiptJson.Length: > 0 } ? null : (JsonSerializer.Deserialize<Receipt>(row.ReceiptJson, Protocol.Json)!, row.Fingerprint);
    }

    /// <summary>How far a kit journal is held.</summary>
    public async Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken)
    {
        await using var context = await _contexts.CreateDbContextAsync(cancellationToken);
        return await context.KitCursors.Where(row => row.JournalId == journalId.Value).Select(row => row.AcknowledgedSequence).SingleOrDefaultAsync(cancellationToken);
    }

    public void Dispose() => _writer.Dispose();

    private static Task<List<SessionEventRow>> Rows(HubContext context, SessionId sessionId, CancellationToken cancellationToken) =>
        context.SessionEvents.AsNoTracking().Where(row => row.SessionId == sessionId.Value).OrderBy(row => row.Sequence).ToListAsync(cancellationToken);

    private async Task<SessionState> Add(HubContext context, SessionAppend append, CancellationToken cancellationToken)
    {
        var state = append.Loaded.State;
        var previous = append.Loaded.HeadHash;

        // Hub time orders nothing, sequences do; it is kept from running backwards inside a session so that gaps can be measured.
        var now = Math.Max(_time.GetUtcNow().UtcTicks, state.History.Count == 0 ? 0 : state.History[^1].At.UtcTicks);
        foreach (var happened in append.Events)
        {
            var (name, shape, written) = EventCatalog.Write(happened);
            var (chain, sequence) = (SessionEventRow.ChainOf(state.SessionId.Value), state.Version + 1);
            var payload = happened is SessionErased ? written : _seals.Close(chain, sequence, written);
            var hash = HashChain.Next(previous, chain, sequence, name, shape, now, payload);
            context.SessionEvents.Add(new SessionEventRow
            {
                SessionId = state.SessionId.Value,
                Sequence = sequence,
                Kind = name,
                Shape = shape,
                Payload = payload,
                TimeTicks = now,
                PreviousHash = previous,
                Hash = hash,
            });
            previous = hash;
            state = SessionFold.Apply(state, new RecordedEvent(sequence, new DateTimeOffset(now, TimeSpan.Zero), happened));
        }

        var stage = state.Stage.ToString();
        var controller = SessionEntity.SealController(_seals, state.SessionId.Value, state.Holder?.Name);
        var kitId = state.KitId.Value;
        var handoffOpen = state.OpenHandoff is not null;

        // Saved before the projection is moved on: a lost race must not touch it, and positions must follow the order of commits.
        await context.SaveChangesAsync(cancellationToken);
        await context.Sessions.Where(row => row.SessionId == state.SessionId.Value).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.Stage, stage).SetProperty(row => row.KitId, kitId).SetProperty(row => row.SealedController, controller).SetProperty(row => row.HandoffOpen, handoffOpen).SetProperty(row => row.Version, state.Version).SetProperty(row => row.LastEventTicks, now),
            cancellationToken);
        return state;
    }

    private static async Task<long> HeadOf(HubContext context, SessionId sessionId, CancellationToken cancellationToken) =>
        await context.SessionEvents.Where(row => row.SessionId == sessionId.Value).MaxAsync(row => (long?)row.Sequence, cancellationToken) ?? 0;

    private async Task Enter(HubContext context, KitEntity kit, CancellationToken cancellationToken)
    {
        var where = KitEntity.SealWhere(_seals, kit.KitId, kit.Where);
        var changed = await context.Kits.Where(row => row.KitId == kit.KitId).ExecuteUpdateAsync(
            set => set.SetProperty(row => row.Label, kit.Label).SetProperty(row => row.SealedWhere, where),
            cancellationToken);
        if (changed == 0)
        {
            context.Kits.Add(kit);

            // Saved at once: its facts move the row on.
            await context.SaveChangesAsync(cancellationToken);
        }
    }

    private static async Task Keep(HubContext context, CursorToKeep cursor, CancellationToken cancellationToken)
    {
        var moved = await context.KitCursors
            .Where(row => row.JournalId == cursor.JournalId.Value && row.AcknowledgedSequence < cursor.AcknowledgedSequence)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.AcknowledgedSequence, cursor.AcknowledgedSequence), cancellationToken);
        if (moved == 0)
        {
            // A cursor that is further on already means that the same reports came twice at once: the key makes the second fail.
            context.KitCursors.Add(new KitCursorRow { JournalId = cursor.JournalId.Value, KitId = cursor.KitId.Value, AcknowledgedSequence = cursor.AcknowledgedSequence });
        }
    }

    private SessionState Fold(SessionId sessionId, List<SessionEventRow> rows, IntegrityView integrity)
    {
        if (!integrity.Valid || rows.Count == 0)
        {
            return SessionFold.Fold(sessionId, rows.Select(Read));
        }

        var start = _folds.TryGetValue(sessionId.Value, out var kept)
            && kept.State.Version <= rows.Count
            && kept.State.Version > 0
            && rows[(int)kept.State.Version - 1].Hash.AsSpan().SequenceEqual(kept.HeadHash)
                ? kept.State
                : SessionState.Empty(sessionId);
        var state = rows.Skip((int)start.Version).Select(Read).Aggregate(start, SessionFold.Apply);
        if (_folds.Count >= FoldsKept)
        {
            _folds.Clear();
        }

        _folds[sessionId.Value] = (state, rows[^1].Hash);
        return state;
    }

    private RecordedEvent Read(SessionEventRow row) =>
        new(row.Sequence, new DateTimeOffset(row.TimeTicks, TimeSpan.Zero), EventCatalog.Read(row.Kind, row.Shape, _seals.Open(row)));

    private static SessionPlanFacts Facts(SessionEntity row) => new(
        new PersonTested(row.PersonReference, row.PersonName, row.BirthDate, row.Referral) { Language = row.PersonLanguage ?? string.Empty },
        row.Place,
        new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero),
        new KitId(row.KitId),
        row.ClinicianId);
}
