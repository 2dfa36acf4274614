using System.Globalization;
using System.Text.Json;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>Erases what is recorded about a person, as far as it need not be kept: the key of each session is destroyed, so that its entries stay, chained and counted, and nobody can read them (docs/decisions/0045).</summary>
internal sealed class PersonErasure(IDbContextFactory<HubContext> contexts, SessionEraser eraser, OtherLogs otherLogs, Seals seals, HubSettings settings, TimeProvider time)
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
        var all = await context.Sessions.AsNoTracking().Where(session => session.ErasedTicks == null).ToListAsync(cancellationToken);
        var sessions = all.Where(session => session.PersonReference == reference).ToList();
        if (sessions.Count == 0)
        {
            throw DataFault.Nobody(reference, "erased");
        }

        if (sessions.Find(session => Stages.IsOpen(Enum.Parse<SessionStage>(session.Stage))) is { } open)
        {
            throw new DataFault($"Session {open.SessionId} of {reference} is under way. Nothing was erased. End it first.");
        }

        var today = DateOnly.FromDateTime(time.GetUtcNow().UtcDateTime);
        var (erased, kept) = (new List<Guid>(), new List<KeptRecord>());
        foreach (var session in sessions)
        {
            var until = Keeping.Until(await LastEntry(context, session, cancellationToken), keepYears);

            // One that never began holds no record of care.
            if (session.Stage == nameof(SessionStage.Scheduled) || keepYears == 0 || until < today)
            {
                erased.Add(session.SessionId);
            }
            else
            {
                kept.Add(new KeptRecord($"session {session.SessionId}", until, string.Create(CultureInfo.InvariantCulture, $"Records of care are kept for {keepYears} years after their last entry; ask again after that day.")));
            }
        }

        kept.AddRange(await InOtherLogs(sessions, all, cancellationToken));
        var account = new ErasureAccount(reference, reason.Trim(), by, keepYears, [.. erased.Select(session => new SessionId(session))], kept);
        return await CarryOut(Guid.CreateVersion7(), account, erased);
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
            await eraser.Erase(erasure.Key, [.. erasure.Distinct()], evenOpen: true);
        }

        return back.Count;
    }

    /// <summary>Finishes at a start what was cut off: all that the list and the journal name is erased.</summary>
    /// <returns>How many sessions were erased.</returns>
    /// <exception cref="FormatException">The list of erasures cannot be read.</exception>
    public async Task<int> Finish(CancellationToken cancellationToken)
    {
        var listed = await ErasureList.Read(Path.Combine(settings.FilesFolder, ErasureList.FileName), cancellationToken);
        var named = (await Accounts(cancellationToken)).SelectMany(erasure => erasure.Account.Erased.Select(session => (session.Value, erasure.Id))).ToList();
        if (listed.Count + named.Count == 0)
        {
            return 0;
        }

        await ErasureList.Add(settings.FilesFolder, named, cancellationToken);
        return await Again([.. listed.Union(named)], cancellationToken);
    }

    /// <summary>Every erasure, newest first.</summary>
    public async Task<IReadOnlyList<(DateTimeOffset At, ErasureAccount Account)>> Journal(CancellationToken cancellationToken) =>
        [.. (await Accounts(cancellationToken)).Select(erasure => (erasure.At, erasure.Account))];

    private async Task<IReadOnlyList<(Guid Id, DateTimeOffset At, ErasureAccount Account)>> Accounts(CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var rows = await context.Erasures.AsNoTracking().OrderByDescending(row => row.AtTicks).ToListAsync(cancellationToken);
        return
        [
            .. from row in rows
               let text = seals.Open(Seals.Clinic, Place(row.ErasureId), row.SealedAccount)
               where text is not null
               select (row.ErasureId, new DateTimeOffset(row.AtTicks, TimeSpan.Zero), JsonSerializer.Deserialize<ErasureAccount>(text, Protocol.Json)!),
        ];
    }

    private async Task<ErasureAccount> CarryOut(Guid erasureId, ErasureAccount account, IReadOnlyList<Guid> sessions)
    {
        // The account and the list before anything is destroyed: a power cut leaves what the next start finishes.
        await Keep(erasureId, account);
        await ErasureList.Add(settings.FilesFolder, sessions.Select(session => (session, erasureId)), CancellationToken.None);
        var came = await eraser.Erase(erasureId, sessions, evenOpen: false);
        var left = came.UnderWay.Select(session => new KeptRecord($"session {session}", null, "It was begun meanwhile. End it, then ask again."))
            .Concat(came.Copies.Select(copy => new KeptRecord($"the copy {copy}", null, "The erased sessions can still be read in it. Delete it once it is needed no more.")))
            .Concat(came.LogEmptied ? [] : [new KeptRecord($"pages of the file {StorageRegistration.FileName}-wal", null, "Somebody was reading the database, so that what was deleted is not written over yet. Stop the hub once; it is written over then.")])
            .ToList();
        if (left.Count == 0)
        {
            return account;
        }

        var adjusted = account with { Erased = [.. account.Erased.Where(session => !came.UnderWay.Contains(session.Value))], Kept = [.. account.Kept, .. left] };
        await Keep(erasureId, adjusted);
        return adjusted;
    }

    private async Task Keep(Guid erasureId, ErasureAccount account)
    {
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        var text = seals.Close(Seals.Clinic, Place(erasureId), JsonSerializer.Serialize(account, Protocol.Json));
        if (await context.Erasures.Where(row => row.ErasureId == erasureId).ExecuteUpdateAsync(set => set.SetProperty(row => row.SealedAccount, text), CancellationToken.None) == 0)
        {
            context.Erasures.Add(new ErasureRow { ErasureId = erasureId, AtTicks = time.GetUtcNow().UtcTicks, SealedAccount = text });
            await context.SaveChangesAsync(CancellationToken.None);
        }
    }

    /// <summary>When something was last recorded in a session. That it was to be erased is no entry that counts: an erasure that was cut off would prolong itself.</summary>
    private static async Task<DateTimeOffset> LastEntry(HubContext context, SessionEntity session, CancellationToken cancellationToken) => new(
        await context.SessionEvents.Where(row => row.SessionId == session.SessionId && row.Kind != SessionErased.Kind).MaxAsync(row => (long?)row.TimeTicks, cancellationToken) ?? session.LastEventTicks,
        TimeSpan.Zero);

    /// <summary>What kits' and the fleet's logs say of the person. They are evidence of the state of gear that others were tested with, and are kept.</summary>
    private async Task<IReadOnlyList<KeptRecord>> InOtherLogs(IReadOnlyList<SessionEntity> sessions, IReadOnlyList<SessionEntity> all, CancellationToken cancellationToken)
    {
        var found = await otherLogs.About(sessions, [.. all.Except(sessions)], cancellationToken);
        var fleet = found.Count(entry => entry.Log == OtherLogs.Fleet);
        return found.Count == 0
            ? []
            : [new KeptRecord(string.Create(CultureInfo.InvariantCulture, $"{found.Count - fleet} facts of kits and {fleet} of the fleet that tell of the person"), null, "They prove the state of gear that others were tested with, and stay sealed for as long as the clinic keeps its gear's logs.")];
    }

    private static string Place(Guid erasureId) => $"erasures/{erasureId:N}";
}
