using Microsoft.EntityFrameworkCore;

namespace TeleHearing.Hub.Storage;

/// <summary>Deleting so that nothing of it is left in the file. A database on a server keeps its own pages; there what counts is that the key is gone (docs/operations/scale.md).</summary>
internal static class LeavingNothing
{
    /// <summary>What is deleted on this connection is written over with zeros. The connection must be open.</summary>
    public static Task Begin(HubContext context) => context.Database.IsSqlite() ? context.Database.ExecuteSqlRawAsync("PRAGMA secure_delete=ON", CancellationToken.None) : Task.CompletedTask;

    /// <summary>Nothing of it stays in the log of the file either. The connection must be open.</summary>
    /// <returns>False when somebody who reads kept the log from being emptied.</returns>
    public static Task<bool> End(HubContext context) => context.Database.IsSqlite() ? WriteAheadLog.Empty(context.Database.GetDbConnection(), CancellationToken.None) : Task.FromResult(true);
}
