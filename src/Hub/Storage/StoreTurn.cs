using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage;

/// <summary>Lets one transaction at a time write to what stands in one order, whichever hub it comes from. SQLite takes one writer at a time by itself; in PostgreSQL it is asked for.</summary>
/// <remarks>Positions of the log then follow the order of commits, so that whoever reads on from a position misses nothing. The database gives the turn back when the transaction ends, however it ends.</remarks>
internal static class StoreTurn
{
    /// <summary>Events of sessions and facts.</summary>
    public const long Log = 0x7E1E_0001;

    /// <summary>The audit.</summary>
    public const long Audit = 0x7E1E_0002;

    /// <summary>Accounts, where a rule is about several rows.</summary>
    public const long People = 0x7E1E_0003;

    /// <summary>Making and changing tables.</summary>
    public const long Tables = 0x7E1E_0004;

    /// <summary>Waits for the turn; the transaction must have begun.</summary>
    public static Task Take(HubContext context, long turn, CancellationToken cancellationToken) => context.Database.IsNpgsql()
        ? context.Database.ExecuteSqlAsync($"SELECT pg_advisory_xact_lock({turn})", cancellationToken)
        : Task.CompletedTask;
}
