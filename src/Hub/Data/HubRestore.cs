using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;

namespace TeleHearing.Hub.Data;

/// <summary>What a restore came to.</summary>
/// <param name="MadeAt">When the backup was made.</param>
/// <param name="Entries">Entries that were verified.</param>
/// <param name="ErasedAgain">Sessions that the backup brought back and the list of erasures took out again.</param>
/// <param name="Before">Where the folder from before lies now; absent when there was none.</param>
internal sealed record Restored(DateTimeOffset MadeAt, long Entries, int ErasedAgain, string? Before);

/// <summary>Puts a backup in the place of a data folder. It is unpacked beside it, held against its hashes, opened and verified; only then the folders change places. What goes wrong before leaves everything as it was.</summary>
internal static class HubRestore
{
    /// <summary>Restores.</summary>
    /// <exception cref="DataFault">The folder is in use, the backup does not do, or something cannot be written.</exception>
    public static async Task<Restored> Run(string file, string dataFolder, BackupSecret secret, TimeProvider time, CancellationToken cancellationToken)
    {
        if (!File.Exists(file))
        {
            throw new DataFault($"There is no backup {file}. Nothing was changed. Name the file with --from FILE.");
        }

        dataFolder = Path.TrimEndingDirectorySeparator(Path.GetFullPath(dataFolder));
        var fresh = $"{dataFolder}.restoring-{Guid.CreateVersion7():N}";
        try
        {
            using var held = await Hold(dataFolder, time, cancellationToken);
            PrivateFolder.Make(fresh);
            BackupManifest manifest;
            await using (var archive = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.Read))
            {
                manifest = await BackupArchive.Unpack(archive, fresh, secret, cancellationToken);
            }

            var entries = await Verify(fresh, time, cancellationToken);
            var again = await EraseAgain(fresh, dataFolder, time, cancellationToken);
            var before = Swap(fresh, dataFolder, time);
            return new Restored(manifest.MadeAt, entries, again, before);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw DataFault.CannotWrite(dataFolder, fault);
        }
        finally
        {
            SqliteConnection.ClearAllPools();
            if (Directory.Exists(fresh))
            {
                Directory.Delete(fresh, recursive: true);
            }
        }
    }

    private static async Task<IDisposable?> Hold(string dataFolder, TimeProvider time, CancellationToken cancellationToken) => !Directory.Exists(dataFolder)
        ? null
        : await FolderLock.Take(dataFolder, time, cancellationToken) ?? throw new DataFault($"The data folder {dataFolder} is in use by a running hub. Nothing was changed. End that hub first, or restore into another folder with --data DIR.");

    private static async Task<long> Verify(string folder, TimeProvider time, CancellationToken cancellationToken)
    {
        await using var keys = await OfflineSeals.Find(folder, time) ?? throw new DataFault($"The keys of the backup do not open its database. If the hub's keys were locked by a key file, name it in {HubSettings.KeyFileVariable}. Nothing was changed.");
        await using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = Path.Combine(folder, StorageRegistration.FileName), Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString());
        await connection.OpenAsync(cancellationToken);
        try
        {
            var verdict = await StoreVerifier.Verify(connection, [], keys.Seals, cancellationToken);
            return verdict.Faults is [var first, ..]
                ? throw new DataFault(string.Create(CultureInfo.InvariantCulture, $"The backup does not verify: {first.Where}: {first.What} {verdict.Faults.Count} faults in all. Nothing was changed. Use an older backup, or keep the folder there is."))
                : verdict.Entries;
        }
        catch (SqliteException fault)
        {
            throw new DataFault($"The database in the backup cannot be read: {fault.Message}. Nothing was changed. Use another backup.");
        }
    }

    /// <summary>Erases again what was erased since the backup was made: by the list of the folder there is, and by the backup's own.</summary>
    private static async Task<int> EraseAgain(string fresh, string dataFolder, TimeProvider time, CancellationToken cancellationToken)
    {
        var list = (await ErasureList.Read(Path.Combine(dataFolder, ErasureList.FileName), cancellationToken)).Union(await ErasureList.Read(Path.Combine(fresh, ErasureList.FileName), cancellationToken)).ToList();
        await File.WriteAllLinesAsync(Path.Combine(fresh, ErasureList.FileName), list.Select(ErasureList.Line), cancellationToken);
        await using var hub = HubHost.Build(new HubSettings { DataFolder = fresh, Database = null, SharedFolder = null, ServeConsole = false, LogToConsole = false }, services => services.AddSingleton(time));
        return await hub.Services.GetRequiredService<PersonErasure>().Again(list, cancellationToken);
    }

    private static string? Swap(string fresh, string dataFolder, TimeProvider time)
    {
        if (!Directory.Exists(dataFolder))
        {
            PrivateFolder.Make(Path.GetDirectoryName(dataFolder)!);
            Directory.Move(fresh, dataFolder);
            return null;
        }

        var before = string.Create(CultureInfo.InvariantCulture, $"{dataFolder}.before-restore-{time.GetUtcNow().UtcDateTime:yyyyMMdd'T'HHmmss'Z'}");
        Directory.Move(dataFolder, before);
        try
        {
            Directory.Move(fresh, dataFolder);
            return before;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            Directory.Move(before, dataFolder);
            throw;
        }
    }
}
