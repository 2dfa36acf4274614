using System.CommandLine;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>The verb <c>demo</c>.</summary>
internal static class DemoCommand
{
    public static Command Make(TimeProvider clock)
    {
        var data = new Option<DirectoryInfo>("--data") { Description = "data folder of the invented clinic", DefaultValueFactory = _ => new DirectoryInfo(DataFolders.Demo) };
        var pace = Choice.Option("--pace", "how quickly simulated sound passes", "realtime", "fast");
        var listener = new Option<FileInfo?>("--listener") { Description = "CSV audiogram of the virtual listener; an invented one when not given" };
        var port = Port("--port", "port of the console; the first free one from 5080 on when not given");
        var screen = Port("--screen-port", "port of the kit screen; the first free one from 5090 on when not given");
        var kits = Number("--kits", "how many kits the clinic has", InventedFleet.Usual, 3, 999);
        var loans = Number("--loans", "how many loans lie behind each of the kits that have no session", InventedFleet.UsualLoans, 0, 100);
        var command = new Command("demo", "run an invented clinic on this machine: hub, console and a simulated kit") { data, pace, listener, port, screen, kits, loans };
        command.SetAction((parsed, cancellationToken) =>
        {
            var options = new DemoOptions(parsed.GetRequiredValue(data), parsed.GetRequiredValue(pace), parsed.GetValue(listener)) { Port = parsed.GetValue(port), ScreenPort = parsed.GetValue(screen), Kits = parsed.GetValue(kits), Loans = parsed.GetValue(loans) };
            return CommandLine.Guard(parsed, () => new DemoRun(options, parsed.InvocationConfiguration.Output, clock).Run(cancellationToken));
        });
        return command;
    }

    private static Option<int> Number(string name, string description, int usual, int least, int most) =>
        new(name) { Description = description, DefaultValueFactory = _ => usual, CustomParser = WholeNumber.From($"{name} must be a number from {least} to {most}", least, most) };

    private static Option<int?> Port(string name, string description)
    {
        var read = WholeNumber.From($"{name} must be a port from 1 to 65535", 1, 65535);
        return new Option<int?>(name) { Description = description, CustomParser = result => read(result) };
    }
}
