using System.Data.Common;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Npgsql;

namespace TeleHearing.Hub.Storage;

/// <summary>What a store that fails throws, whichever database it is.</summary>
internal static class StoreFaults
{
    /// <summary>SQLITE_CONSTRAINT.</summary>
    private const int ConstraintViolated = 19;

    /// <summary>Whether the store failed: its disk, its database or the way there.</summary>
    public static bool Is(Exception fault) => fault is DbException or DbUpdateException or IOException or InvalidOperationException { InnerException: DbException };

    /// <summary>Whether a write failed because its key is there already.</summary>
    public static bool IsBrokenKey(Exception fault) => (fault is DbUpdateException ? fault.InnerException : fault) is SqliteException { SqliteErrorCode: ConstraintViolated } or PostgresException { SqlState: PostgresErrorCodes.UniqueViolation };
}
