using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>What the rows of the event log mean: seals, chains, folds and checks them. Any thread may read and append; (session, sequence) decides who was first, also between processes.</summary>
internal sealed class SessionStore
{
    private readonly IEventLog _log;
    private readonly TimeProvider _time;
    private readonly Seals _seals;
    private readonly KnownSessions _known = new();

    public SessionStore(IEventLog log, Seals seals, TimeProvider time)
    {
        _seals = seals;
        _log = log;
        _time = time;
    }

    /// <summary>Reads a session and verifies its chain. What this process verified or wrote itself, and nobody else has touched since, is taken from memory.</summary>
    /// <returns>Null when there is none.</returns>
    public async Task<LoadedSession?> Load(SessionId sessionId, CancellationToken cancellationToken)
    {
        if (_known.Find(sessionId) is { } known && await _log.IsStill(sessionId, known.Mark, cancellationToken))
        {
            return known;
        }

        if (await _log.Read(sessionId, cancellationToken) is not { } stored)
        {
            return null;
        }

        var integrity = HashChain.Verify(stored.Rows, stored.Plan.Version);
        var loaded = new LoadedSession(SessionFold.Fold(sessionId, stored.Rows.Select(Read)), Facts(stored.Plan), integrity, stored.Rows.Count == 0 ? HashChain.Start : stored.Rows[^1].Hash)
        {
            // Row and events are two questions, and somebody may have written in between.
            Listed = stored.Plan.Version == stored.Rows.Count ? new ListedSession(stored.Plan.Stage, stored.Plan.KitId, stored.Plan.SealedController, stored.Plan.HandoffOpen) : null,
            Seen = integrity.Valid ? stored.Seen : SessionMark.Damaged,
        };
        if (loaded.Seen > SessionMark.Unseen)
        {
            _known.Keep(loaded);
        }

        return loaded;
    }

    /// <summary>A session as this process last knew it, which may be old: for when the store cannot be asked.</summary>
    /// <returns>Null when it is not remembered.</returns>
    public LoadedSession? Remembered(SessionId sessionId) => _known.Find(sessionId);

    /// <summary>The rows of a session as they are stored.</summary>
    /// <returns>Null when there is no such session.</returns>
    public async Task<IReadOnlyList<SessionEventRow>?> ReadRows(SessionId sessionId, CancellationToken cancellationToken) => (await _log.Read(sessionId, cancellationToken))?.Rows;

    /// <summary>Payload of a row as it was written.</summary>
    public string Text(SessionEventRow row) => _seals.Open(row);

    /// <summary>Appends to one or several sessions with what belongs to it, all or nothing.</summary>
    /// <exception cref="DbUpdateException">The disk failed; nothing was changed.</exception>
    /// <exception cref="System.Data.Common.DbException">The disk failed; nothing was changed.</exception>
    /// <exception cref="InvalidOperationException">A session in it was erased and takes nothing more; nothing was changed.</exception>
    public Task<AppendOutcome> Append(AppendBatch batch, CancellationToken cancellationToken)
    {
        if (batch.Sessions.FirstOrDefault(append => append is { Events.Count: > 0, Loaded.State.Erased: true }) is { } closed)
        {
            throw new InvalidOperationException($"Session {closed.Loaded.State.SessionId} was erased: nothing can be added to its log.");
        }

        var now = _time.GetUtcNow().UtcTicks;
        List<(SessionRows Rows, LoadedSession After)> sessions = [.. batch.Sessions.Where(append => append.Events.Count > 0).Select(append => Chain(append, now))];
        return _log.Append(
            new AppendRows
            {
                Sessions = [.. sessions.Select(session => session.Rows)],
                Receipt = batch.Receipt is { } receipt ? Row(receipt) : null,
                Cursor = batch.Cursor is { } cursor ? new KitCursorRow { JournalId = cursor.JournalId.Value, KitId = cursor.KitId.Value, AcknowledgedSequence = cursor.AcknowledgedSequence } : null,
                Beside = batch.Kits.Count + batch.KitFacts.Count + batch.KitsToRevoke.Count == 0 && batch.FleetFacts is null ? null : (context, token) => Beside(context, batch, now, token),
                Ahead = batch.Ahead,
                Committed = seen =>
                {
                    foreach (var (rows, after) in sessions)
                    {
                        if (rows.Before.Seen != SessionMark.Damaged)
                        {
                            _known.Keep(after with { Seen = seen });
                        }
                    }

                    batch.Committed([.. sessions.Select(session => session.After.State)]);
                },
            },
            cancellationToken);
    }

    /// <summary>Enters a session with its first event.</summary>
    public async Task Create(SessionEntity plan, SessionScheduled scheduled, CancellationToken cancellationToken)
    {
        // Its key first, durable: nothing may be sealed with a key that a power cut takes away.
        _seals.Keys.Ensure(Seals.ScopeOf(plan.SessionId));
        var loaded = new LoadedSession(SessionState.Empty(new SessionId(plan.SessionId)), Facts(plan), new IntegrityView(true, null), HashChain.Start);
        var outcome = await _log.Append(
            new AppendRows
            {
                Sessions = [Chain(new SessionAppend(loaded, [scheduled]), _time.GetUtcNow().UtcTicks).Rows],
                Beside = async (context, token) =>
                {
                    context.Sessions.Add(plan);
                    await context.SaveChangesAsync(token);
                    return true;
                },
            },
            cancellationToken);
        if (outcome != AppendOutcome.Appended)
        {
            throw new DbUpdateException("A session with this id is there already.");
        }
    }

    /// <summary>Lets go of what is remembered of a session: it was erased.</summary>
    public void Forget(SessionId sessionId) => _known.Forget(sessionId);

    /// <summary>The receipt of a command carried out before, with the fingerprint of what was asked then.</summary>
    public async Task<(Receipt Receipt, byte[] Fingerprint)?> FindReceipt(CommandId commandId, CancellationToken cancellationToken)
    {
        if (await _log.FindReceipt(commandId, cancellationToken) is not { } stored)
        {
            return null;
        }

        var row = new CommandReceiptRow { CommandId = commandId.Value, SessionId = stored.SessionId, Fingerprint = stored.Fingerprint, SealedReceipt = stored.SealedReceipt, ReceiptJson = string.Empty };
        ((ISealedRow)row).Open(_seals);
        return row.ReceiptJson.Length == 0 ? null : (JsonSerializer.Deserialize<Receipt>(row.ReceiptJson, Protocol.Json)!, row.Fingerprint);
    }

    /// <summary>How far a kit journal is held.</summary>
    public Task<long> FindCursor(JournalId journalId, CancellationToken cancellationToken) => _log.FindCursor(journalId, cancellationToken);

    private CommandReceiptRow Row(ReceiptToKeep kept)
    {
        var row = new CommandReceiptRow { CommandId = kept.Receipt.CommandId.Value, SessionId = kept.SessionId.Value, Fingerprint = kept.Fingerprint, ReceiptJson = JsonSerializer.Serialize(kept.Receipt, Protocol.Json) };
        ((ISealedRow)row).Seal(_seals);
        return row;
    }

    /// <summary>Seals and chains events, and folds what they come to.</summary>
    private (SessionRows Rows, LoadedSession After) Chain(SessionAppend append, long nowTicks)
    {
        var (state, previous, chain) = (append.Loaded.State, append.Loaded.HeadHash, SessionEventRow.ChainOf(append.Loaded.State.SessionId.Value));

        // Hub time orders nothing, sequences do; it is kept from running backwards inside a session so that gaps can be measured.
        var now = Math.Max(nowTicks, state.History.Count == 0 ? 0 : state.History[^1].At.UtcTicks);
        var rows = new List<SessionEventRow>(append.Events.Count);
        foreach (var happened in append.Events)
        {
            var (name, shape, written) = EventCatalog.Write(happened);
            var sequence = state.Version + 1;
            var payload = happened is SessionErased ? written : _seals.Close(chain, sequence, written);
            var hash = HashChain.Next(previous, chain, sequence, name, shape, now, payload);
            rows.Add(new SessionEventRow
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

        var controller = append.Loaded.Listed?.SealedController is { } known && state.Holder is { } holder && holder.Name == append.Loaded.State.Holder?.Name
            ? known
            : SessionEntity.SealController(_seals, state.SessionId.Value, state.Holder?.Name);
        var listed = new ListedSession(state.Stage.ToString(), state.KitId.Value, controller, state.OpenHandoff is not null);
        var after = append.Loaded with { Listed = listed, State = state, HeadHash = previous, Plan = append.Loaded.Plan with { KitId = state.KitId } };
        return (new SessionRows(state.SessionId.Value, append.Loaded.Mark, rows, listed == append.Loaded.Listed ? null : listed), after);
    }

    /// <summary>What is seldom written, inside the transaction of the append.</summary>
    private async Task<bool> Beside(HubContext context, AppendBatch batch, long nowTicks, CancellationToken cancellationToken)
    {
        foreach (var kit in batch.Kits)
        {
            await Enter(context, kit, cancellationToken);
        }

        foreach (var append in batch.KitFacts.Where(append => append.Facts.Count > 0))
        {
            if (!await KitFactWriter.Add(context, append, _seals, nowTicks, cancellationToken))
            {
                return false;
            }
        }

        foreach (var kitId in batch.KitsToRevoke)
        {
            await KitKeyWriter.Revoke(context, kitId, nowTicks, cancellationToken);
        }

        if (batch.FleetFacts is { Facts.Count: > 0 } fleet && !await FleetFactWriter.Add(context, fleet, _seals, nowTicks, cancellationToken))
        {
            return false;
        }

        await context.SaveChangesAsync(cancellationToken);
        return true;
    }

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

    private RecordedEvent Read(SessionEventRow row) =>
        new(row.Sequence, new DateTimeOffset(row.TimeTicks, TimeSpan.Zero), EventCatalog.Read(row.Kind, row.Shape, _seals.Open(row)));

    private static SessionPlanFacts Facts(SessionEntity row) => new(
        new PersonTested(row.PersonReference, row.PersonName, row.BirthDate, row.Referral) { Language = row.PersonLanguage ?? string.Empty },
        row.Place,
        new DateTimeOffset(row.PlannedStartTicks, TimeSpan.Zero),
        new KitId(row.KitId),
        row.ClinicianId);
}
