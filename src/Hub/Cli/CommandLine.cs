using System.CommandLine;
using TeleHearing.Hub.Cli.Data;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Cli.Doctor;
using TeleHearing.Hub.Cli.Rehearsal;
using TeleHearing.Hub.Cli.SettingUp;

namespace TeleHearing.Hub.Cli;

/// <summary>The hub's command line.</summary>
internal static class CommandLine
{
    /// <summary>How long a verb may take to end in order after Ctrl-C.</summary>
    private static readonly TimeSpan _endingTime = TimeSpan.FromSeconds(15);

    /// <summary>Runs the verb named by the arguments.</summary>
    /// <returns>Exit code, see <see cref="ExitCodes"/>.</returns>
    public static async Task<int> Run(string[] arguments, TimeProvider clock)
    {
        var root = new RootCommand("TeleHearing hub: hearing tests at a distance.")
        {
            ServeCommand.Make(clock),
            DemoCommand.Make(clock),
            RehearseCommand.Make(clock),
            DoctorCommand.Make(clock),
            VerifyCommand.Make(clock),
            BackupCommands.Backup(clock),
            BackupCommands.Restore(clock),
            PersonCommands.Export(clock),
            PersonCommands.Erase(clock),
            PeopleCommand.Make(clock),
            KitsCommand.Make(clock),
            SessionsCommand.Make(clock),
            ProtocolsCommand.Make(clock),
        };
        var parsed = root.Parse(arguments);
        var configuration = new InvocationConfiguration { ProcessTerminationTimeout = _endingTime };
        if (parsed.Errors.Count == 0)
        {
            return await parsed.InvokeAsync(configuration);
        }

        foreach (var error in parsed.Errors)
        {
            await configuration.Error.WriteLineAsync(error.Message);
        }

        await configuration.Error.WriteLineAsync("Add --help to see what can be given.");
        return ExitCodes.BadInput;
    }

    /// <summary>Runs the work of a verb; what the user can put right is printed as a sentence, and Ctrl-C is an ordinary end.</summary>
    public static async Task<int> Guard(ParseResult parsed, Func<Task<int>> work)
    {
        try
        {
            return await work();
        }
        catch (CliFault fault)
        {
            await parsed.InvocationConfiguration.Error.WriteLineAsync(fault.Message);
            return fault.ExitCode;
        }
        catch (OperationCanceledException)
        {
            await parsed.InvocationConfiguration.Error.WriteLineAsync("Ended on request.");
            return ExitCodes.Failed;
        }
    }
}
