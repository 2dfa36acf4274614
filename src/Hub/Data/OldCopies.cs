using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Upgrading;

namespace TeleHearing.Hub.Data;

/// <summary>Copies of the database that lie beside it: from before an upgrade, in folders from before a restore, and what a backup that was cut off left. What is erased is erased in them too, by the keys they hold.</summary>
internal static class OldCopies
{
    /// <summary>Destroys the keys of erased sessions in every copy.</summary>
    /// <param name="dataFolder">The data folder.</param>
    /// <param name="erased">The sessions.</param>
    /// <param name="now">Time, UTC ticks.</param>
    /// <param name="cancellationToken">Cancels between two copies.</param>
    /// <returns>Paths of the copies in which the sessions can still be read: they were made before anything was sealed, or cannot be opened.</returns>
    public static async Task<IReadOnlyList<string>> Destroy(string dataFolder, IReadOnlyList<(Guid Session, Guid Erasure)> erased, long now, CancellationToken cancellationToken)
    {
        var left = new List<string>();
        var folders = Before(dataFolder);
        foreach (var folder in folders)
        {
            // Should somebody put it back in its place, its next start erases the rest.
            await ErasureList.Add(folder, erased, cancellationToken);
        }

        foreach (var copy in folders.Append(dataFolder).SelectMany(Below).Concat(folders.Select(folder => Path.Combine(folder, StorageRegistration.FileName))).Where(File.Exists))
        {
            if (!await DestroyIn(copy, [.. erased.Select(pair => pair.Session)], now, cancellationToken))
            {
                left.Add(copy);
            }
        }

        return left;
    }

    private static IReadOnlyList<string> Before(string dataFolder)
    {
        var whole = Path.TrimEndingDirectorySeparator(Path.GetFullPath(dataFolder));
        return Path.GetDirectoryName(whole) is { } parent && Directory.Exists(parent)
            ? [.. Directory.EnumerateDirectories(parent, Path.GetFileName(whole) + HubRestore.BeforeMark + "*").Order(StringComparer.Ordinal)]
            : [];
    }

    private static IEnumerable<string> Below(string folder)
    {
        var upgrades = Path.Combine(folder, CopyBeforeUpgrade.Folder);
        return (Directory.Exists(upgrades) ? Directory.EnumerateFiles(upgrades, "*.db") : []).Concat(Directory.EnumerateFiles(folder, HubBackup.PartOf("*"))).Order(StringComparer.Ordinal);
    }

    private static async Task<bool> DestroyIn(string file, IReadOnlyList<Guid> sessions, long now, CancellationToken cancellationToken)
    {
        try
        {
            await using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Mode = SqliteOpenMode.ReadWrite, Pooling = false }.ToString());
            await connection.OpenAsync(cancellationToken);
            await using var command = connection.CreateCommand();
            command.CommandText = string.Create(CultureInfo.InvariantCulture, $"SELECT COUNT(*) FROM session_events WHERE SessionId COLLATE NOCASE IN ({string.Join(", ", sessions.Select(session => $"'{session}'"))})");
            if (await command.ExecuteScalarAsync(cancellationToken) is 0L)
            {
                return true;
            }

            command.CommandText = "SELECT COUNT(*) FROM sqlite_master WHERE type = 'table' AND name = 'data_keys'";
            if (await command.ExecuteScalarAsync(cancellationToken) is 0L)
            {
                return false;
            }

            command.CommandText = "PRAGMA secure_delete=ON";
            await command.ExecuteNonQueryAsync(cancellationToken);
            command.CommandText = string.Create(CultureInfo.InvariantCulture, $"UPDATE data_keys SET Wrapped = NULL, DestroyedTicks = {now} WHERE Wrapped IS NOT NULL AND Scope IN ({string.Join(", ", sessions.Select(session => $"'{Seals.ScopeOf(session)}'"))})");
            await command.ExecuteNonQueryAsync(cancellationToken);
            return await WriteAheadLog.Empty(connection, cancellationToken);
        }
        catch (SqliteException)
        {
            // No database any more, or in use: whoever erases is told of it.
            return false;
        }
    }
}
