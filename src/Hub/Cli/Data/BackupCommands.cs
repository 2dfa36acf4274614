using System.CommandLine;
using System.Globalization;
using TeleHearing.Hub.Cli.SettingUp;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Cli.Data;

/// <summary>The verbs <c>backup</c> and <c>restore</c>.</summary>
internal static class BackupCommands
{
    public static Command Backup(TimeProvider clock)
    {
        var (data, passphrase, key) = (OpenedHub.Data(), PassphraseFile(), KeyFile());
        var file = new Option<FileInfo>("--out") { Description = "new file to write", Required = true };
        var command = new Command("backup", "write everything of a hub into one file, its keys locked; the hub may be running") { file, passphrase, key, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => Words(async () =>
        {
            RequireFolder();
            var target = parsed.GetRequiredValue(file).FullName;
            await HubBackup.Write(parsed.GetRequiredValue(data).FullName, target, BackupSecret.Read(parsed.GetValue(passphrase), parsed.GetValue(key)), clock, cancellationToken);
            await parsed.InvocationConfiguration.Output.WriteLineAsync($"The backup is in {target}. It opens only with the passphrase or key file it was made with: keep that elsewhere, and try the restore into another folder once.");
        })));
        return command;
    }

    public static Command Restore(TimeProvider clock)
    {
        var (data, passphrase, key) = (OpenedHub.Data(), PassphraseFile(), KeyFile());
        var file = new Option<FileInfo>("--from") { Description = "backup to restore", Required = true };
        var command = new Command("restore", "put a backup in the place of a data folder, once it is whole and verified") { file, passphrase, key, data };
        command.SetAction((parsed, cancellationToken) => CommandLine.Guard(parsed, () => Words(async () =>
        {
            RequireFolder();
            var folder = parsed.GetRequiredValue(data).FullName;
            var restored = await HubRestore.Run(parsed.GetRequiredValue(file).FullName, folder, BackupSecret.Read(parsed.GetValue(passphrase), parsed.GetValue(key)), clock, cancellationToken);
            var output = parsed.InvocationConfiguration.Output;
            await output.WriteLineAsync(string.Create(CultureInfo.InvariantCulture, $"{folder} is as it was at {restored.MadeAt.UtcDateTime:yyyy-MM-dd HH:mm} UTC. {restored.Entries} entries were verified."));
            if (restored.ErasedAgain > 0)
            {
                await output.WriteLineAsync(restored.ErasedAgain == 1 ? "1 session that had been erased since was erased again." : $"{restored.ErasedAgain} sessions that had been erased since were erased again.");
            }

            foreach (var line in restored.Rights.Lines())
            {
                await output.WriteLineAsync(line);
            }

            if (restored.Before is { } before)
            {
                await output.WriteLineAsync($"The folder from before is {before}. Delete it once the hub is seen to work.");
            }
        })));
        return command;
    }

    /// <summary>Says in the verb's way what the user can put right.</summary>
    public static async Task<int> Words(Func<Task> work)
    {
        try
        {
            await work();
            return ExitCodes.Done;
        }
        catch (DataFault fault)
        {
            throw new CliFault(fault.Message);
        }
    }

    private static void RequireFolder()
    {
        if (Environment.GetEnvironmentVariable(HubSettings.DatabaseVariable) is { Length: > 0 })
        {
            throw DataFault.OnAServer();
        }
    }

    private static Option<FileInfo?> PassphraseFile() => new("--passphrase-file") { Description = $"file whose first line is the passphrase, {BackupSecret.ShortestPassphrase} characters or more" };

    private static Option<FileInfo?> KeyFile() => new("--key-file") { Description = $"file of {BackupSecret.ShortestKey} random bytes or more, instead of a passphrase" };
}
