using System.CommandLine;
using System.Data.Common;
using System.Globalization;
using Microsoft.Data.Sqlite;
using Npgsql;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Postgres;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Verification;

namespace TeleHearing.Hub.Cli;

/// <summary>The verb <c>verify</c>: checks every chain of a store and says where and what does not fit. Changes nothing; the hub may be running.</summary>
internal static class VerifyCommand
{
    public static Command Make(TimeProvider clock)
    {
        var data = new Option<DirectoryInfo>("--data") { Description = "data folder of the hub", DefaultValueFactory = _ => new DirectoryInfo(DataFolders.Serve) };
        var heads = new Option<FileInfo?>("--heads") { Description = "file with heads kept elsewhere: shows also when the newest entries were removed" };
        var write = new Option<FileInfo?>("--write-heads") { Description = "writes the heads into a new file, to keep elsewhere" };
        var command = new Command("verify", "check that nothing of the store was changed, removed or put in") { data, heads, write };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(
            parsed,
            () => Verify(parsed.GetRequiredValue(data), parsed.GetValue(heads), parsed.GetValue(write), parsed.InvocationConfiguration.Output, clock, cancellationToken)));
        return command;
    }

    private static async Task<int> Verify(DirectoryInfo folder, FileInfo? heads, FileInfo? write, TextWriter output, TimeProvider clock, CancellationToken cancellationToken)
    {
        var settings = new HubSettings { DataFolder = folder.FullName };
        var file = Path.Combine(folder.FullName, StorageRegistration.FileName);
        if (settings.Database is null && !File.Exists(file))
        {
            throw new CliFault($"There is no hub in {folder}. Name its data folder with --data DIR.");
        }

        if (write?.Exists == true)
        {
            throw new CliFault($"{write} is there already. Nothing was written. Name a new file: older heads are worth keeping.");
        }

        var held = Held(heads);
        await using var keys = settings.Database is null ? await OfflineSeals.Find(folder.FullName, clock) : await OfflineSeals.Find(settings, clock);
        var verdict = await Verdict(settings, file, held, keys?.Seals, cancellationToken);
        if (keys is null)
        {
            await output.WriteLineAsync("The keys of this folder are not at hand, so the chains were walked and what lists show was not held against the entries.");
        }

        foreach (var fault in verdict.Faults)
        {
            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"FAULT  {fault.Where}{(fault.Entry is { } entry ? $", from entry {entry} on" : "")}: {fault.What}"));
        }

        await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{verdict.Entries} entries in {verdict.Heads.Count} chains. {(verdict.Faults.Count == 0 ? "Everything fits." : $"{verdict.Faults.Count} do not fit: keep the folder as it is, and compare it with a backup.")}"));
        if (heads is null)
        {
            await output.WriteLineAsync("Whether the newest entries were removed, count and all, shows only against heads kept elsewhere: --write-heads FILE now, --heads FILE later.");
        }

        if (write is not null)
        {
            await File.WriteAllTextAsync(write.FullName, HeadsFile.Write(verdict.Heads, clock.GetUtcNow()), cancellationToken);
            await output.WriteLineAsync($"The heads are in {write}. Keep the file where nobody who can change this folder can change it.");
        }

        return verdict.Faults.Count == 0 ? ExitCodes.Done : ExitCodes.Failed;
    }

    private static IReadOnlyList<ChainHead> Held(FileInfo? heads)
    {
        if (heads is null)
        {
            return [];
        }

        try
        {
            return HeadsFile.Read(File.ReadAllText(heads.FullName));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or FormatException)
        {
            throw new CliFault($"The heads in {heads} cannot be read: {fault.Message} Nothing was checked.");
        }
    }

    private static async Task<StoreVerdict> Verdict(HubSettings settings, string file, IReadOnlyList<ChainHead> held, Seals? seals, CancellationToken cancellationToken)
    {
        try
        {
            await using DbConnection connection = settings.Database is { } shared
                ? new NpgsqlConnection(PostgresStore.Connection(shared))
                : new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString());
            await connection.OpenAsync(cancellationToken);
            await using var command = connection.CreateCommand();
            command.CommandText = """SELECT "Version" FROM schema_version WHERE "Id" = 1""";
            var found = await command.ExecuteScalarAsync(cancellationToken) is { } number and not DBNull ? Convert.ToInt32(number, CultureInfo.InvariantCulture) : (int?)null;
            if (found is not { } version || version > StorageRegistration.SchemaVersion)
            {
                throw new CliFault(SchemaUpgrades.OtherVersion(found));
            }

            return await StoreVerifier.Verify(connection, held, version < SchemaUpgrades.SealedFrom ? null : seals, cancellationToken);
        }
        catch (DbException fault) when (settings.Database is not null)
        {
            throw new CliFault($"The database named in {HubSettings.DatabaseVariable} cannot be read: {fault.Message}. Nothing was changed.");
        }
        catch (SqliteException fault)
        {
            throw new CliFault($"{file} cannot be read: {fault.Message}. Nothing was changed. Stop the hub, keep a copy of the folder, and restore the last good backup.");
        }
    }
}
