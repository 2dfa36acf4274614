using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>What erasing sessions came to.</summary>
/// <param name="UnderWay">Sessions that had been begun meanwhile and were left.</param>
/// <param name="Copies">Copies of the database in which they can still be read.</param>
/// <param name="LogEmptied">Whether the write-ahead log was emptied.</param>
internal sealed record SessionsErased(IReadOnlyList<Guid> UnderWay, IReadOnlyList<string> Copies, bool LogEmptied);

/// <summary>Erases sessions: says so at the end of each log, destroys the keys, empties the rows, here and in copies that lie beside. Every step can be taken again.</summary>
internal sealed class SessionEraser(IDbContextFactory<HubContext> contexts, SessionStore store, Seals seals, HubSettings settings, Broadcaster broadcaster, TimeProvider time)
{
    /// <summary>Erases. Not cancelled once it began: what is half done is finished by the next start.</summary>
    /// <param name="erasureId">The erasure.</param>
    /// <param name="sessions">Sessions, on the list already.</param>
    /// <param name="evenOpen">Also those whose log says that they are under way: what a backup brought back is not.</param>
    public async Task<SessionsErased> Erase(Guid erasureId, IReadOnlyList<Guid> sessions, bool evenOpen)
    {
        var open = new List<Guid>();
        foreach (var session in sessions)
        {
            if (!await SayErased(erasureId, session, evenOpen))
            {
                open.Add(session);
            }
        }

        var erased = sessions.Except(open).ToList();
        if (open.Count > 0)
        {
            await ErasureList.Strike(settings.FilesFolder, [.. open.Select(session => (session, erasureId))], CancellationToken.None);
        }

        if (erased.Count == 0)
        {
            return new SessionsErased(open, [], true);
        }

        var now = time.GetUtcNow().UtcTicks;
        var emptied = await DestroyKeys(erased, now);
        var copies = await OldCopies.Destroy(settings.DataFolder, [.. erased.Select(session => (session, erasureId))], now, CancellationToken.None);
        broadcaster.FleetChanged();
        return new SessionsErased(open, copies, emptied);
    }

    private async Task<bool> DestroyKeys(List<Guid> sessions, long now)
    {
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);

        await context.Database.OpenConnectionAsync(CancellationToken.None);
        await LeavingNothing.Begin(context);
        await using (var transaction = await context.Database.BeginTransactionAsync(CancellationToken.None))
        {
            var scopes = sessions.Select(Seals.ScopeOf).ToList();
            await context.DataKeys.Where(key => scopes.Contains(key.Scope)).ExecuteUpdateAsync(set => set.SetProperty(key => key.Wrapped, (string?)null).SetProperty(key => key.DestroyedTicks, now), CancellationToken.None);
            await context.Sessions.Where(session => sessions.Contains(session.SessionId)).ExecuteUpdateAsync(set => set.SetProperty(session => session.SealedPlan, (string?)null).SetProperty(session => session.SealedController, (string?)null).SetProperty(session => session.ErasedTicks, now), CancellationToken.None);
            await context.CommandReceipts.Where(receipt => sessions.Contains(receipt.SessionId)).ExecuteDeleteAsync(CancellationToken.None);
            await transaction.CommitAsync(CancellationToken.None);
        }

        foreach (var session in sessions)
        {
            seals.Keys.Forget(Seals.ScopeOf(session));
            store.Forget(new SessionId(session));
        }

        return await LeavingNothing.End(context);
    }

    /// <returns>False when the session is under way: its log decides, which nobody can add to between this look and the append.</returns>
    private async Task<bool> SayErased(Guid erasureId, Guid session, bool evenOpen)
    {
        while (await store.Load(new SessionId(session), CancellationToken.None) is { State.Erased: false } loaded)
        {
            if (!evenOpen && Stages.IsOpen(loaded.State.Stage))
            {
                return false;
            }

            var stage = loaded.State.Stage == SessionStage.Scheduled ? SessionStage.Aborted : loaded.State.Stage;
            if (await store.Append(new AppendBatch([new SessionAppend(loaded, [new SessionErased(stage, loaded.State.KitId, erasureId)])], null, null, _ => { }), CancellationToken.None) == AppendOutcome.Appended)
            {
                return true;
            }
        }

        return true;
    }
}
