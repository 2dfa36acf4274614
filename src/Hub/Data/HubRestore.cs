using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;

namespace TeleHearing.Hub.Data;

/// <summary>What a restore came to.</summary>
/// <param name="MadeAt">When the backup was made.</param>
/// <param name="Entries">Entries that were verified.</param>
/// <param name="ErasedAgain">Sessions that the backup brought back and the list of erasures took out again.</param>
/// <param name="Rights">Rights that were taken away again, and what is left to look at.</param>
/// <param name="Before">Where the folder from before lies now; absent when there was none.</param>
internal sealed record Restored(DateTimeOffset MadeAt, long Entries, int ErasedAgain, CarriedRights Rights, string? Before);

/// <summary>Puts a backup in the place of a data folder. It is unpacked beside it, held against its hashes, opened and verified; only then the folders change places. What goes wrong before leaves everything as it was.</summary>
internal static class HubRestore
{
    /// <summary>What the folder from before is called by, after its own name and before the time.</summary>
    public const string BeforeMark = ".before-restore-";

    /// <summary>Restores.</summary>
    /// <exception cref="DataFault">The folder is in use, the backup does not do, or something cannot be written.</exception>
    /// <param name="file">The backup.</param>
    /// <param name="dataFolder">Where it goes.</param>
    /// <param name="secret">What opens its keys.</param>
    /// <param name="time">Clock.</param>
    /// <param name="cancellationToken">Cancels before the folders change places.</param>
    /// <param name="move">Moves a folder; the system's own way unless a test looks on.</param>
    public static async Task<Restored> Run(string file, string dataFolder, BackupSecret secret, TimeProvider time, CancellationToken cancellationToken, Action<string, string>? move = null)
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
            var (again, rights) = await Settle(fresh, dataFolder, manifest.MadeAt, time, cancellationToken);

            // Windows moves no folder in which a file is open: neither the lock nor what a pool keeps open.
            SqliteConnection.ClearAllPools();
            held?.Dispose();
            var before = Swap(fresh, dataFolder, time, move ?? Directory.Move);
            return new Restored(manifest.MadeAt, entries, again, rights, before);
        }
        catch (FormatException fault)
        {
            throw new DataFault(fault.Message);
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

    /// <summary>Erases again what was erased since the backup was made, by the list of the folder there is and by the backup's own; takes away again the rights that were taken away since; records the restore.</summary>
    private static async Task<(int ErasedAgain, CarriedRights Rights)> Settle(string fresh, string dataFolder, DateTimeOffset madeAt, TimeProvider time, CancellationToken cancellationToken)
    {
        await using var hub = HubHost.Build(new HubSettings { DataFolder = fresh, Database = null, Redis = null, SharedFolder = null, ServeConsole = false, LogToConsole = false }, services => services.AddSingleton(time));
        await ErasureList.Add(fresh, await ErasureList.Read(Path.Combine(dataFolder, ErasureList.FileName), cancellationToken), cancellationToken);
        var again = await hub.Services.GetRequiredService<PersonErasure>().Again(await ErasureList.Read(Path.Combine(fresh, ErasureList.FileName), cancellationToken), cancellationToken);
        var rights = await RestoredRights.Settle(hub.Services, Path.Combine(dataFolder, StorageRegistration.FileName), time, cancellationToken);
        await hub.Services.GetRequiredService<AuditTrail>().Act(AuditActs.Restored, null, about:
        [
            string.Create(CultureInfo.InvariantCulture, $"backup of {madeAt.UtcDateTime:yyyy-MM-dd'T'HH:mm:ss'Z'}"),
            .. rights.Kits.Select(kit => $"kit {kit}"),
            .. rights.People.Select(person => $"person {person}"),
        ]);
        return (again, rights);
    }

    private static string? Swap(string fresh, string dataFolder, TimeProvider time, Action<string, string> move)
    {
        if (!Directory.Exists(dataFolder))
        {
            PrivateFolder.Make(Path.GetDirectoryName(dataFolder)!);
            move(fresh, dataFolder);
            return null;
        }

        var before = Free(string.Create(CultureInfo.InvariantCulture, $"{dataFolder}{BeforeMark}{time.GetUtcNow().UtcDateTime:yyyyMMdd'T'HHmmss'Z'}"));
        move(dataFolder, before);
        try
        {
            move(fresh, dataFolder);
            return before;
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            move(before, dataFolder);
            throw;
        }
    }

    /// <summary>The name, or the next one that nothing has: two restores may fall into one second.</summary>
    private static string Free(string name) =>
        !Path.Exists(name) ? name : Enumerable.Range(2, int.MaxValue - 2).Select(number => string.Create(CultureInfo.InvariantCulture, $"{name}-{number}")).First(other => !Path.Exists(other));
}
