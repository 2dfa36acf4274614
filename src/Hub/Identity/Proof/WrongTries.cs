using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Counts tries at a password before they are judged, so that of many at the same moment no more than a few are judged, and takes each authenticator code once.
/// Tries of somebody signed in count apart from those at the sign-in page: otherwise whoever knows a name could keep its owner from uncovering their console while a session runs.</summary>
internal sealed class WrongTries(IDbContextFactory<HubContext> contexts, TimeProvider time)
{
    /// <summary>Wrong tries after which nothing more is judged for a while. NIST SP 800-63B-4, 3.2.2, allows up to 100; the owner wants 5.</summary>
    public const int Most = 5;

    /// <summary>How long then.</summary>
    public static readonly TimeSpan Lock = TimeSpan.FromMinutes(15);

    /// <summary>Key under which tries at names that nobody has are written: an unknown name then takes as long as a known one.</summary>
    private const string Nobody = "";

    /// <summary>What stands before the account in the key of tries by somebody signed in.</summary>
    private const string SignedIn = "signed-in ";

    /// <summary>Counts a try.</summary>
    /// <param name="personId">At whose password; absent for a name that nobody has.</param>
    /// <param name="stranger">Whether it comes from the sign-in page, and not from somebody who is signed in as this person.</param>
    /// <returns>Whether it may be judged, and whether it locks the account unless it is right.</returns>
    public async Task<(bool Allowed, bool Locks)> Take(string? personId, bool stranger)
    {
        var now = time.GetUtcNow().UtcTicks;
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await using var transaction = await context.Database.BeginTransactionAsync(CancellationToken.None);
        await StoreTurn.Take(context, StoreTurn.People, CancellationToken.None);
        var row = await Row(context, personId is null ? Nobody : stranger ? personId : SignedIn + personId);
        var allowed = row.LockedUntilTicks <= now;
        var locks = false;

        // Written whether locked or not, known or not: a commit takes longer than everything else here, and would tell them apart.
        row.LastTryTicks = now;
        if (allowed)
        {
            locks = ++row.WrongTries >= Most && personId is not null;
            if (row.WrongTries >= Most)
            {
                row.WrongTries = 0;
                row.LockedUntilTicks = locks ? (time.GetUtcNow() + Lock).UtcTicks : 0;
            }
        }

        await context.SaveChangesAsync(CancellationToken.None);
        await transaction.CommitAsync(CancellationToken.None);
        return (allowed, locks);
    }

    /// <summary>Whose lock a key tells of.</summary>
    public static string PersonOf(string key) => key.StartsWith(SignedIn, StringComparison.Ordinal) ? key[SignedIn.Length..] : key;

    /// <summary>The try was right: those before it are not held against the account any more. Uncovering a console does not lift what strangers brought on at the sign-in page.</summary>
    /// <param name="personId">Whose password it was.</param>
    /// <param name="stranger">As in <see cref="Take"/>.</param>
    public async Task Forgive(string personId, bool stranger)
    {
        var key = stranger ? personId : SignedIn + personId;
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await context.PersonGuards.Where(row => row.PersonId == key)
            .ExecuteUpdateAsync(set => set.SetProperty(row => row.WrongTries, 0).SetProperty(row => row.LockedUntilTicks, 0), CancellationToken.None);
    }

    /// <summary>The password is a new one: nothing is held against the account.</summary>
    public async Task ForgiveAll(string personId)
    {
        await Forgive(personId, stranger: true);
        await Forgive(personId, stranger: false);
    }

    /// <summary>Takes the code of a time step: once, and none of an earlier step after it (RFC 6238, 5.2).</summary>
    /// <returns>False when it was taken before.</returns>
    public async Task<bool> TakeStep(string personId, long step)
    {
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await using var transaction = await context.Database.BeginTransactionAsync(CancellationToken.None);
        await StoreTurn.Take(context, StoreTurn.People, CancellationToken.None);
        var row = await Row(context, personId);
        if (row.LastCodeStep >= step)
        {
            return false;
        }

        row.LastCodeStep = step;
        await context.SaveChangesAsync(CancellationToken.None);
        await transaction.CommitAsync(CancellationToken.None);
        return true;
    }

    private static async Task<PersonGuardRow> Row(HubContext context, string key)
    {
        if (await context.PersonGuards.SingleOrDefaultAsync(row => row.PersonId == key, CancellationToken.None) is { } known)
        {
            return known;
        }

        var fresh = new PersonGuardRow { PersonId = key };
        context.PersonGuards.Add(fresh);
        return fresh;
    }
}
