using System.CommandLine;
using TeleHearing.Hub.Hosting;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>The verb <c>doctor</c>: looks at everything the programs need and says what to mend. Changes nothing.</summary>
internal static class DoctorCommand
{
    public static Command Make(TimeProvider clock)
    {
        var data = new Option<DirectoryInfo?>("--data") { Description = "data folder to look at; the hub's own when not given, or the demonstration's when only that is there" };
        var command = new Command("doctor", "check data folder, ports, database, clock, versions and sound devices") { data };
        command.SetAction((parsed, cancellationToken) =>
        {
            var folder = parsed.GetValue(data)?.FullName ?? (Directory.Exists(DataFolders.Serve) || !Directory.Exists(DataFolders.Demo) ? DataFolders.Serve : DataFolders.Demo);
            return CommandLine.Guard(parsed, () => Examine(folder, parsed.InvocationConfiguration.Output, clock, cancellationToken));
        });
        return command;
    }

    private static async Task<int> Examine(string folder, TextWriter output, TimeProvider clock, CancellationToken cancellationToken)
    {
        List<Finding> findings =
        [
            .. DataFolderCheck.Examine(folder),
            .. KeysCheck.Examine(folder),
            .. PortCheck.Examine(),
            .. await Database(folder, clock, cancellationToken),
            .. ClockCheck.Examine(clock),
            .. await VersionCheck.Examine(clock, cancellationToken),
            .. SoundCheck.Examine(),
        ];
        foreach (var finding in findings)
        {
            await output.WriteLineAsync(finding.ToString());
        }

        var faults = findings.Count(finding => finding.Sign == Sign.Fault);
        await output.WriteLineAsync(faults == 0 ? "No fault found." : $"{faults} fault{(faults == 1 ? "" : "s")} found.");
        return faults == 0 ? ExitCodes.Done : ExitCodes.Failed;
    }

    private static Task<IReadOnlyList<Finding>> Database(string folder, TimeProvider clock, CancellationToken cancellationToken) =>
        new HubSettings { DataFolder = folder }.Database is { } shared ? SharedDatabaseCheck.Examine(shared, clock, cancellationToken) : DatabaseCheck.Examine(folder, cancellationToken);
}
