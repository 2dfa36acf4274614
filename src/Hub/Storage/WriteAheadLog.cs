using System.Data.Common;

namespace TeleHearing.Hub.Storage;

/// <summary>What was deleted lies in the write-ahead log until that is taken into the database and emptied.</summary>
internal static class WriteAheadLog
{
    /// <summary>Longest wait for somebody who reads, in ms.</summary>
    private const int Patience = 2000;

    /// <summary>Empties it, of a connection's database.</summary>
    /// <returns>False when somebody who reads kept it from being emptied.</returns>
    public static async Task<bool> Empty(DbConnection connection, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = FormattableString.Invariant($"PRAGMA busy_timeout={Patience}");
        await command.ExecuteNonQueryAsync(cancellationToken);

        // Answers with a row of three: whether it was kept from its work, pages in the log, pages taken over (sqlite.org, "PRAGMA wal_checkpoint").
        command.CommandText = "PRAGMA wal_checkpoint(TRUNCATE)";
        await using var answer = await command.ExecuteReaderAsync(cancellationToken);
        return await answer.ReadAsync(cancellationToken) && answer.GetInt64(0) == 0;
    }
}
