using System.Globalization;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>Erases what is recorded about a person, as far as it need not be kept: the key of each session is destroyed, so that its entries stay, chained and counted, and nobody can read them (docs/decisions/0045).</summary>
internal sealed class PersonErasure(IDbContextFactory<HubContext> contexts, SessionStore store, Seals seals, HubSettings settings, Broadcaster broadcaster, TimeProvider time)
{
    /// <summary>Longest reason, characters.</summary>
    public const int LongestReason = 500;

    /// <summary>Erases.</summary>
    /// <param name="reference">The person, by the clinic's reference.</param>
    /// <param name="reason">Why.</param>
    /// <param name="by">Account of who asks; absent for the command line.</param>
    /// <param name="keepYears">Years after its last entry that a session is kept.</param>
    /// <param name="cancellationToken">Cancels before anything is changed.</param>
    /// <exception cref="DataFault">There is no such person, a session of theirs runs, or what was given cannot be.</exception>
    public async Task<ErasureAccount> Erase(string reference, string reason, string? by, int keepYears, CancellationToken cancellationToken)
    {
        if (Keeping.Fault(keepYears) is { } years)
        {
            throw new DataFault(years);
        }

        if (string.IsNullOrWhiteSpace(reason) || reason.Length > LongestReason)
        {
            throw new DataFault($"Say in 1 to {LongestReason} characters why the person is erased. Nothing was erased.");
        }

        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var all = await context.Sessions.AsNoTracking().ToListAsync(cancellationToken);
        var sessions = all.Where(session => session.ErasedTicks is null && session.PersonReference == reference).ToList();
        if (sessions.Count == 0)
        {
            throw DataFault.Nobody(reference, "erased");
        }

        if (sessions.Find(session => Stages.IsOpen(Enum.Parse<SessionStage>(session.Stage))) is { } open)
        {
            throw new DataFault($"Session {open.SessionId} of {reference} is under way. Nothing was erased. End it first.");
        }

        var today = DateOnly.FromDateTime(time.GetUtcNow().UtcDateTime);
        var (erased, kept) = (new List<SessionEntity>(), new List<KeptRecord>());
        foreach (var session in sessions)
        {
            var until = Keeping.Until(new DateTimeOffset(session.LastEventTicks, TimeSpan.Zero), keepYears);

            // One that never began holds no record of care.
            if (session.Stage == nameof(SessionStage.Scheduled) || keepYears == 0 || until < today)
            {
                erased.Add(session);
            }
            else
            {
                kept.Add(new KeptRecord($"session {session.SessionId}", until, string.Create(CultureInfo.InvariantCulture, $"Records of care are kept for {keepYears} years after their last entry; ask again after that day.")));
            }
        }

        kept.AddRange(await InOtherLogs(context, reference, [.. sessions.Select(session => session.PersonName)], cancellationToken));
        var account = new ErasureAccount(reference, reason.Trim(), by, keepYears, [.. erased.Select(session => new SessionId(session.SessionId))], kept);
        var erasureId = Guid.CreateVersion7();
        await Destroy(erasureId, [.. erased.Select(session => session.SessionId)], account, cancellationToken);
        return account;
    }

    /// <summary>Erases again what a list names: after a backup brought it back.</summary>
    /// <returns>How many sessions were erased.</returns>
    public async Task<int> Again(IReadOnlyList<(Guid Session, Guid Erasure)> list, CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var here = await context.Sessions.AsNoTracking().Where(session => session.ErasedTicks == null).Select(session => session.SessionId).ToListAsync(cancellationToken);
        var back = list.Where(line => here.Contains(line.Session)).ToList();
        foreach (var erasure in back.GroupBy(line => line.Erasure, line => line.Session))
        {
            await Destroy(erasure.Key, [.. erasure.Distinct()], null, cancellationToken);
        }

        return back.Count;
    }

    /// <summary>Every erasure, newest first.</summary>
    public async Task<IReadOnlyList<(DateTimeOffset At, ErasureAccount Account)>> Journal(CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.Erasures.AsNoTracking().OrderByDescending(row => row.AtTicks).ToListAsync(cancellationToken);
        return
        [
            .. from row in rows
               let text = seals.Open(Seals.Clinic, Place(row.ErasureId), row.SealedAccount)
               where text is not null
               select (new DateTimeOffset(row.AtTicks, TimeSpan.Zero), JsonSerializer.Deserialize<ErasureAccount>(text, Protocol.Json)!),
        ];
    }

    private async Task Destroy(Guid erasureId, IReadOnlyList<Guid> sessions, ErasureAccount? account, CancellationToken cancellationToken)
    {
        foreach (var session in sessions)
        {
            await SayErased(erasureId, session, cancellationToken);
        }

        // The list before the keys: a power cut between the two leaves a list that can be applied again.
        await ErasureList.Add(settings.FilesFolder, erasureId, sessions, cancellationToken);
        var now = time.GetUtcNow().UtcTicks;
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);

        await context.Database.OpenConnectionAsync(CancellationToken.None);
        await LeavingNothing.Begin(context);
        await using (var transaction = await context.Database.BeginTransactionAsync(CancellationToken.None))
        {
            var scopes = sessions.Select(Seals.ScopeOf).ToList();
            await context.DataKeys.Where(key => scopes.Contains(key.Scope)).ExecuteUpdateAsync(set => set.SetProperty(key => key.Wrapped, (string?)null).SetProperty(key => key.DestroyedTicks, now), CancellationToken.None);
            await context.Sessions.Where(session => sessions.Contains(session.SessionId)).ExecuteUpdateAsync(set => set.SetProperty(session => session.SealedPlan, (string?)null).SetProperty(session => session.SealedController, (string?)null).SetProperty(session => session.ErasedTicks, now), CancellationToken.None);
            await context.CommandReceipts.Where(receipt => sessions.Contains(receipt.SessionId)).ExecuteDeleteAsync(CancellationToken.None);
            if (account is not null)
            {
                context.Erasures.Add(new ErasureRow { ErasureId = erasureId, AtTicks = now, SealedAccount = seals.Close(Seals.Clinic, Place(erasureId), JsonSerializer.Serialize(account, Protocol.Json)) });
                await context.SaveChangesAsync(CancellationToken.None);
            }

            await transaction.CommitAsync(CancellationToken.None);
        }

        await LeavingNothing.End(context);
        foreach (var session in sessions)
        {
            seals.Keys.Forget(Seals.ScopeOf(session));
        }

        broadcaster.FleetChanged();
    }

    private async Task SayErased(Guid erasureId, Guid session, CancellationToken cancellationToken)
    {
        while (await store.Load(new SessionId(session), cancellationToken) is { } loaded && loaded.State.History is not [.., { Event: Sessions.Events.SessionErased }])
        {
            // A log that was damaged cannot be folded whole; where the session stands, its row says.
            var stage = loaded.State.Stage == SessionStage.Scheduled ? SessionStage.Aborted : loaded.State.Stage;
            if (await store.Append(new AppendBatch([new SessionAppend(loaded, [new SessionErased(stage, loaded.State.KitId, erasureId)])], null, null, _ => { }), CancellationToken.None) == AppendOutcome.Appended)
            {
                return;
            }
        }
    }

    /// <summary>Where kits' and the fleet's logs name the person. They are evidence of the state of gear that others were tested with, and are kept.</summary>
    private async Task<IReadOnlyList<KeptRecord>> InOtherLogs(HubContext context, string reference, IReadOnlyList<string> names, CancellationToken cancellationToken)
    {
        bool Names(IChainedRow row) => seals.Open(row) is var text && names.Append(reference).Any(name => text.Contains(JsonEncodedText.Encode(name).ToString(), StringComparison.Ordinal));
        var kits = (await context.KitFacts.AsNoTracking().ToListAsync(cancellationToken)).Count(Names);
        var fleet = (await context.FleetFacts.AsNoTracking().ToListAsync(cancellationToken)).Count(Names);
        return kits + fleet == 0
            ? []
            : [new KeptRecord(string.Create(CultureInfo.InvariantCulture, $"{kits} facts of kits and {fleet} of the fleet that name the person"), null, "They prove the state of gear that others were tested with, and stay sealed for as long as the clinic keeps its gear's logs.")];
    }

    private static string Place(Guid erasureId) => $"erasures/{erasureId:N}";
}
