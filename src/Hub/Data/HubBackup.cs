using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Data;

/// <summary>Makes a backup of a data folder, beside a running hub or a resting one.</summary>
internal static class HubBackup
{
    /// <summary>Files that hold secrets and are locked in with the keys.</summary>
    private static readonly string[] _secrets = ["epcis.json"];

    /// <summary>Writes a backup into a new file: whole under its name, or not there. That it was made stands in the hub's audit, and so in the backup.</summary>
    /// <exception cref="DataFault">There is no hub in the folder, its tables are of a newer version, or the file cannot be written.</exception>
    public static async Task Write(string dataFolder, string file, BackupSecret secret, TimeProvider time, CancellationToken cancellationToken)
    {
        if (File.Exists(file) || Directory.Exists(file))
        {
            throw new DataFault($"{file} is there already. Nothing was written. Name a new file: older backups are worth keeping.");
        }

        await Check(dataFolder, cancellationToken);
        var part = file + ".part";
        try
        {
            await using (var target = new FileStream(part, FileMode.CreateNew, FileAccess.Write, FileShare.None))
            {
                PrivateFolder.Close(part);
                await Record(dataFolder, time);
                await Write(dataFolder, target, secret, time, cancellationToken);
                target.Flush(flushToDisk: true);
            }

            File.Move(part, file);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw DataFault.CannotWrite(file, fault);
        }
        finally
        {
            Remove(part);
        }
    }

    /// <summary>Writes a backup.</summary>
    /// <inheritdoc cref="Write(string, string, BackupSecret, TimeProvider, CancellationToken)"/>
    public static async Task Write(string dataFolder, Stream target, BackupSecret secret, TimeProvider time, CancellationToken cancellationToken)
    {
        await Check(dataFolder, cancellationToken);
        var database = Path.Combine(dataFolder, StorageRegistration.FileName);
        var copy = Path.Combine(dataFolder, PartOf($"{Guid.CreateVersion7():N}"));
        try
        {
            await Copy(database, copy, cancellationToken);
            (string Name, string Path)[] files =
            [
                (StorageRegistration.FileName, copy),
                .. Below(dataFolder, "photos"),
                .. Here(dataFolder, ErasureList.FileName),
            ];
            (string Name, string Path)[] keys = [.. Below(dataFolder, HubKeys.Folder), .. _secrets.SelectMany(name => Here(dataFolder, name))];
            await BackupArchive.Write(target, files, keys, secret, time.GetUtcNow(), cancellationToken);
        }
        finally
        {
            Remove(copy);
        }
    }

    /// <summary>Name of the copy a backup is made of while it is made.</summary>
    public static string PartOf(string number) => $"backup-{number}.part";

    /// <exception cref="DataFault">There is no hub in the folder, or its tables are of another version.</exception>
    private static async Task Check(string dataFolder, CancellationToken cancellationToken)
    {
        var database = Path.Combine(dataFolder, StorageRegistration.FileName);
        if (!File.Exists(database))
        {
            throw new DataFault($"There is no hub in {dataFolder}. Nothing was written. Name its data folder with --data DIR.");
        }

        try
        {
            await using var connection = await Open(database, cancellationToken);
            await using var command = connection.CreateCommand();
            command.CommandText = "SELECT Version FROM schema_version WHERE Id = 1";
            var version = await command.ExecuteScalarAsync(cancellationToken) as long?;
            if (version != StorageRegistration.SchemaVersion)
            {
                throw new DataFault(version is { } older && SchemaUpgrades.Reaches((int)older)
                    ? $"The database has tables of version {older}; a backup is made once a hub of this version has started on it. Nothing was written. Start it first: it keeps a copy from before."
                    : SchemaUpgrades.OtherVersion((int?)version));
            }
        }
        catch (SqliteException fault)
        {
            throw CannotCopy(fault);
        }
    }

    /// <summary>By the audit alone, without the rest of a hub: the audit is not sealed, and a backup needs no key file.</summary>
    private static async Task Record(string dataFolder, TimeProvider time)
    {
        var settings = new HubSettings { DataFolder = dataFolder, Database = null, Redis = null, SharedFolder = null, KeyFile = null };
        try
        {
            await using var services = new ServiceCollection().AddLogging().AddSingleton(settings).AddSingleton(time).AddStorage(settings).AddSingleton<AuditLog>().BuildServiceProvider();
            await services.GetRequiredService<AuditLog>().Write(new AuditEntry(AuditActs.BackedUp, null, null, [], null));
        }
        catch (DbUpdateException fault)
        {
            throw new DataFault($"The backup could not be entered in the audit: {fault.InnerException?.Message ?? fault.Message}. Nothing was written. Run doctor on the folder to see why.");
        }
    }

    /// <summary>A whole copy of the database, by SQLite itself.</summary>
    private static async Task Copy(string database, string copy, CancellationToken cancellationToken)
    {
        try
        {
            await using var connection = await Open(database, cancellationToken);
            await using var command = connection.CreateCommand();
            command.CommandText = "VACUUM INTO $copy";
            command.Parameters.AddWithValue("$copy", copy);
            await command.ExecuteNonQueryAsync(cancellationToken);
            CopiedDatabase.Ready(copy);
        }
        catch (SqliteException fault)
        {
            throw CannotCopy(fault);
        }
    }

    private static async Task<SqliteConnection> Open(string database, CancellationToken cancellationToken)
    {
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = database, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString());
        await connection.OpenAsync(cancellationToken);
        return connection;
    }

    private static DataFault CannotCopy(SqliteException fault) => new($"The database cannot be copied: {fault.Message}. Nothing was written. Run doctor on the folder to see why.");

    private static IEnumerable<(string Name, string Path)> Below(string folder, string part) => Directory.Exists(Path.Combine(folder, part))
        ? Directory.EnumerateFiles(Path.Combine(folder, part), "*", SearchOption.AllDirectories).Where(file => !file.EndsWith(".part", StringComparison.Ordinal)).Order(StringComparer.Ordinal).Select(file => (Path.GetRelativePath(folder, file).Replace('\\', '/'), file))
        : [];

    private static IEnumerable<(string Name, string Path)> Here(string folder, string name) => File.Exists(Path.Combine(folder, name)) ? [(name, Path.Combine(folder, name))] : [];

    private static void Remove(string file)
    {
        try
        {
            File.Delete(file);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            // What stopped the work is said already; a part that stays is named as one.
        }
    }
}
