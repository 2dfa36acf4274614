using System.CommandLine;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>The verb <c>demo</c>.</summary>
internal static class DemoCommand
{
    public static Command Make(TimeProvider clock)
    {
        var data = new Option<DirectoryInfo>("--data") { Description = "data folder of the invented clinic", DefaultValueFactory = _ => new DirectoryInfo(DataFolders.Demo) };
        var pace = new Option<string>("--pace") { Description = "how quickly simulated sound passes", DefaultValueFactory = _ => "realtime" };
        pace.AcceptOnlyFromAmong("fast", "realtime");
        var listener = new Option<FileInfo?>("--listener") { Description = "CSV audiogram of the virtual listener; an invented one when not given" };
        var command = new Command("demo", "run an invented clinic on this machine: hub, console and a simulated kit") { data, pace, listener };
        command.SetAction((parsed, cancellationToken) =>
        {
            var options = new DemoOptions(parsed.GetRequiredValue(data), parsed.GetRequiredValue(pace), parsed.GetValue(listener));
            return CommandLine.Guard(parsed, () => new DemoRun(options, parsed.InvocationConfiguration.Output, clock).Run(cancellationToken));
        });
        return command;
    }
}
