using System.CommandLine;
using System.CommandLine.Parsing;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>The command line of the site agent.</summary>
internal static class AgentCommands
{
    /// <summary>Exit code, the hub's too: not begun, for the command line, or what the program finds on the machine (kit folder, file, device, hub), does not let it go on.</summary>
    public const int BadInputExitCode = 2;

    private const string Off = "off";

    public static RootCommand Root() => new("TeleHearing site agent: runs on a loan kit, makes the sounds a hub orders and reports what came of them.") { Run(), Provision(), CalibrateCommand.Make(), Version(), SoundCommands.Devices(), SoundCommands.Play(), SoundCommands.Verify() };

    private static Command Run()
    {
        var hub = new Option<Uri>("--hub") { Description = "Address of the hub, e.g. https://hub.example", Required = true, CustomParser = HubAddress };
        var data = Data();
        var screen = new Option<string>("--screen") { Description = "Port of the kit screen on this machine, or off", DefaultValueFactory = _ => "5090" };
        screen.Validators.Add(result => RequirePort(result, result.GetValue(screen)));
        var enrol = new Option<string?>("--enrol") { Description = "One-time enrolment code" };
        var simulate = new Option<string?>("--simulate") { Description = "Simulated person and sound card: a listener file, or demo; absent: the sound devices named in kit.json" };
        var seed = new Option<int>("--seed") { Description = "Seed of the simulation", DefaultValueFactory = _ => 1, CustomParser = ValueParsers.Whole<int>("--seed") };
        var room = new Option<string>("--room") { Description = "Simulated room: quiet, or a WAVE file at 48 kHz", DefaultValueFactory = _ => Simulation.QuietName };
        var pace = new Option<Pace>("--pace") { Description = "realtime, or fast for tests", DefaultValueFactory = _ => Pace.Realtime, HelpName = "pace", CustomParser = ValueParsers.Choice<Pace>("--pace") };
        var assistant = new Option<string>("--assistant") { Description = "scripted plays the assistant", DefaultValueFactory = _ => "none", CustomParser = ValueParsers.Among("--assistant", "none", "scripted") };
        var spread = new Option<double?>("--listener-sd") { Description = "Spread of the simulated person's answers around the threshold, dB, 0 to 10", CustomParser = ValueParsers.OptionalNumber("--listener-sd", 0, 10, "--listener-sd must be a number from 0 to 10 dB.") };
        var tied = new Option<bool>("--end-with-input") { Description = "End when standard input closes, so that the agent never outlives the program that started it" };
        var record = new Option<string?>("--record") { Description = "Write everything played to this WAVE file, with a file of times beside it" };

        var command = new Command("run", "Link to a hub and carry out its orders") { hub, data, screen, enrol, simulate, seed, room, pace, assistant, spread, record, tied };
        command.SetAction((parsed, cancellationToken) => GuardAsync(parsed, () => AgentHost.RunAsync(
            new RunOptions(
                parsed.GetRequiredValue(hub),
                parsed.GetRequiredValue(data),
                parsed.GetValue(screen) == Off ? null : int.Parse(parsed.GetValue(screen)!, System.Globalization.CultureInfo.InvariantCulture),
                parsed.GetValue(enrol),
                parsed.GetValue(simulate),
                parsed.GetValue(seed),
                parsed.GetValue(room)!,
                parsed.GetValue(pace),
                parsed.GetValue(assistant) == "scripted",
                parsed.GetValue(record))
            {
                ListenerSpreadDb = parsed.GetValue(spread),
                EndWithInput = parsed.GetValue(tied),
            },
            cancellationToken)));
        return command;
    }

    private static Command Version()
    {
        var command = new Command("version", "Say which protocol this agent speaks");
        command.SetAction(async (parsed, cancellationToken) =>
        {
            await parsed.InvocationConfiguration.Output.WriteLineAsync($"protocol {Contracts.Protocol.Version}".AsMemory(), cancellationToken);
            return 0;
        });
        return command;
    }

    private static Command Provision()
    {
        var data = Data();
        var kit = new Option<string>("--kit") { Description = "Kind of kit: simulated", Required = true, CustomParser = ValueParsers.Among("--kit", "simulated") };
        var certificate = new Option<CertificateChoice>("--certificate") { Description = "Certificate of the simulated kit: valid, expired or missing", DefaultValueFactory = _ => CertificateChoice.Valid, HelpName = "certificate", CustomParser = ValueParsers.Choice<CertificateChoice>("--certificate") };
        var number = new Option<int>("--number") { Description = "Number in the serial numbers, 1 to 9999; another one for every simulated kit of a clinic", DefaultValueFactory = _ => 1, CustomParser = ValueParsers.Whole("--number", 1, 9999, "--number must be from 1 to 9999.") };
        var command = new Command("provision", "Describe a simulated kit in an empty data folder") { data, kit, certificate, number };
        command.SetAction((parsed, cancellationToken) => GuardAsync(parsed, async () =>
        {
            foreach (var line in Provisioner.Write(parsed.GetRequiredValue(data), parsed.GetValue(certificate), TimeProvider.System, parsed.GetValue(number)))
            {
                await parsed.InvocationConfiguration.Output.WriteLineAsync(line.AsMemory(), cancellationToken);
            }
        }));
        return command;
    }

    internal static Option<string> Data() => new("--data") { Description = "Folder of this kit's description, credential and journal", Required = true };

    private static Uri? HubAddress(ArgumentResult result)
    {
        if (Uri.TryCreate(result.Tokens.Single().Value.TrimEnd('/') + "/", UriKind.Absolute, out var address) && address.Scheme is "http" or "https")
        {
            return address;
        }

        result.AddError("--hub must be an address that begins with http:// or https://.");
        return null;
    }

    private static void RequirePort(OptionResult result, string? value)
    {
        if (value != Off && !(ushort.TryParse(value, out _)))
        {
            result.AddError("--screen must be a port from 0 to 65535, or off.");
        }
    }

    /// <summary>Does what a verb is to do, and turns what stands in its way into a sentence and an exit code.</summary>
    internal static async Task<int> GuardAsync(ParseResult parsed, Func<Task> action)
    {
        var error = parsed.InvocationConfiguration.Error;
        try
        {
            await action();
            return 0;
        }
        catch (Exception fault) when (fault is CommandMistakeException or FatalFaultException)
        {
            await error.WriteLineAsync(fault.Message);
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException or InvalidDataException or Journal.StorageFaultException)
        {
            // what the system says inside an access fault lacks the path, which the fault itself names
            var sentence = fault is Journal.StorageFaultException ? fault.InnerException?.Message ?? fault.Message : fault.Message;
            await error.WriteLineAsync($"The agent cannot work with its files: {sentence}");
        }

        return BadInputExitCode;
    }
}
