using System.Globalization;
using TeleHearing.Hub.Cli.Agent;
using TeleHearing.Hub.Cli.Rehearsal;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Cli.Demo;

/// <summary>What a demonstration is asked to do.</summary>
/// <param name="Data">Data folder; found again at the next start.</param>
/// <param name="Pace">"realtime" or "fast".</param>
/// <param name="Listener">Audiogram of the virtual listener; absent for an invented one.</param>
internal sealed record DemoOptions(DirectoryInfo Data, string Pace, FileInfo? Listener)
{
    /// <summary>Port of the console; absent for the first free one.</summary>
    public int? Port { get; init; }

    /// <summary>How many kits the clinic has.</summary>
    public int Kits { get; init; } = InventedFleet.Usual;

    /// <summary>Loans behind each kit without a session.</summary>
    public int Loans { get; init; } = InventedFleet.UsualLoans;

    /// <summary>Port of the kit screen; absent for the first free one.</summary>
    public int? ScreenPort { get; init; }
}

/// <summary>An invented clinic on one machine: the hub with its console, and one simulated kit in a process of its own.</summary>
internal sealed class DemoRun(DemoOptions options, TextWriter output, TimeProvider clock)
{
    private const int ConsolePort = 5080;
    private const int ScreenPort = 5090;
    private static readonly TimeSpan _agentStart = TimeSpan.FromSeconds(60);

    /// <summary>Runs until Ctrl-C or until the kit's program ends.</summary>
    public async Task<int> Run(CancellationToken cancellationToken)
    {
        if (options.Listener is { } listener)
        {
            ListenerFile.Read(listener);
        }

        WritableFolder.Prepare(options.Data, "--data");
        var folder = Path.Combine(options.Data.FullName, "hub");
        using var held = await HubStart.Hold(folder, clock, cancellationToken);
        var port = LoopbackPorts.Given(options.Port, "--port") ?? LoopbackPorts.FirstFree(ConsolePort);
        var screen = LoopbackPorts.Given(options.ScreenPort, "--screen-port") ?? LoopbackPorts.FirstFree(Math.Max(ScreenPort, port + 1));
        await using var hub = HubStart.Build(
            new HubSettings
            {
                // Invented data stay in their folder, whatever database a hub in service uses.
                Database = null,
                Redis = null,
                SharedFolder = null,
                DataFolder = folder,
                Urls = $"http://localhost:{port}",
                LogToConsole = false,

                // Its people come by links that work once, so a console that covered itself could not be uncovered.
                IdleLimit = TimeSpan.FromHours(12),
            },
            clock);
        var address = await HubStart.Listen(hub, cancellationToken);
        var clinic = new InventedClinic(hub.Services);
        var people = await clinic.EnterClinic(cancellationToken);
        var added = await clinic.PlanToday(people, cancellationToken);
        await new InventedPractice(hub.Services, people).Enter(cancellationToken);
        var fleet = await new InventedFleet(hub.Services, people, clock).Enter(options.Kits, options.Loans, cancellationToken);

        await using var agent = await StartAgent(hub, clinic, address, screen, cancellationToken);
        var screenAddress = await agent.WaitForLine("kit screen:", _agentStart, cancellationToken);
        await agent.WaitForLine("linked to", _agentStart, cancellationToken);

        var links = hub.Services.GetRequiredService<SignInLinks>();
        await DemoSummary.Print(
            output,
            new DemoFacts(
                address,
                new Uri(screenAddress),
                options.Data.FullName,
                added,
                port == ConsolePort || port == options.Port ? null : ConsolePort,
                screen == ScreenPort || screen == options.ScreenPort ? null : ScreenPort,
                new Uri(address, await links.Issue(people.Clinician, cancellationToken)),
                new Uri(address, await links.Issue(people.SecondClinician, cancellationToken)),
                new Uri(address, await links.Issue(people.Coordinator, cancellationToken)),
                new Uri(address, await links.Issue(people.Owner, cancellationToken)),
                new Uri(address, await links.Issue(people.Assistant, cancellationToken)),
                fleet));

        using var ending = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var ended = HubStart.UntilEnded(hub, ending.Token);
        if (await Task.WhenAny(ended, agent.Ended) == ended)
        {
            await output.WriteLineAsync("Ending: the kit falls silent, then the hub stops. The data stay.");
            return ExitCodes.Done;
        }

        var byHand = cancellationToken.IsCancellationRequested || hub.Lifetime.ApplicationStopping.IsCancellationRequested;
        await ending.CancelAsync();
        await ended;
        return byHand ? ExitCodes.Done : throw new CliFault(
            string.Create(CultureInfo.InvariantCulture, $"The kit's program ended by itself, with code {agent.ExitCode}. {agent.Errors} Its log is in {KitFolder}. Start the demonstration again; nothing on record is lost."),
            ExitCodes.Failed);
    }

    private string KitFolder => Path.Combine(options.Data.FullName, InventedClinic.Kit.Value);

    private async Task<SiteAgentProcess> StartAgent(WebApplication hub, InventedClinic clinic, Uri address, int screen, CancellationToken cancellationToken)
    {
        var known = Directory.Exists(KitFolder) && await clinic.KitIsEnrolled(cancellationToken);
        await SiteAgentProcess.Run(["provision", "--data", KitFolder, "--kit", "simulated"], clock, cancellationToken);
        List<string> arguments =
        [
            "run", "--hub", address.ToString(), "--data", KitFolder, "--screen", screen.ToString(CultureInfo.InvariantCulture),
            "--simulate", options.Listener?.FullName ?? "demo", "--pace", options.Pace, "--assistant", "none", "--end-with-input",
        ];
        if (!known)
        {
            arguments.AddRange(["--enrol", await hub.Services.GetRequiredService<KitFleet>().IssueEnrolmentCode(InventedClinic.Kit, cancellationToken)]);
        }

        return SiteAgentProcess.Start(arguments, clock);
    }
}
