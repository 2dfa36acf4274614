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

    /// <summary>The table whose key a write would have broken; absent when it failed for another reason.</summary>
    public static string? BrokenKeyOf(DbUpdateException fault) => fault.InnerException switch
    {
        // "UNIQUE constraint failed: table.Column, ..."
        SqliteException { SqliteErrorCode: ConstraintViolated } sqlite => sqlite.Message.Split(':') is [.., _, var columns] && columns.Trim(' ', '\'', '.').Split('.') is [var table, ..] ? table : string.Empty,
        PostgresException { SqlState: PostgresErrorCodes.UniqueViolation } postgres => postgres.TableName ?? string.Empty,
        _ => null,
    };
}
