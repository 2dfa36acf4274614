using System.Globalization;
using TeleHearing.Audiology.Signals;
using TeleHearing.Audiology.Simulation;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Agent;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Cli.Rehearsal;

/// <summary>A whole session without people: a real hub, a real site agent in a process of its own with a virtual listener, and a scripted clinician who is an ordinary client of the hub.</summary>
internal sealed class Rehearsal(RehearsalOptions options, TextWriter output, TimeProvider clock)
{
    private static readonly TimeSpan _agentStart = TimeSpan.FromSeconds(60);
    private readonly WalkNarrator _narrator = new(output, clock);

    /// <summary>Runs it and leaves its files in the out folder.</summary>
    /// <returns>Exit code: 0 only when the session closed.</returns>
    /// <exception cref="CliFault">Something given is wrong; nothing was started.</exception>
    public async Task<int> Run(CancellationToken cancellationToken)
    {
        var listener = ListenerFile.Read(options.Listener);
        if (options.Room != "quiet" && !File.Exists(options.Room))
        {
            throw new CliFault($"There is no sound file {options.Room}. Give --room quiet or a WAV file of the room.");
        }

        WritableFolder.Prepare(options.Out, "--out");
        using var data = new RehearsalData(options);
        output.WriteLine($"Rehearsal of {listener.Count} thresholds, seed {options.Seed}, {options.Room} room, {options.Pace} pace. All sound is simulated; people and places are invented.");

        await using var hub = HubStart.Build(new HubSettings
        {
            // Invented data stay in their folder, whatever database a hub in service uses.
            Database = null,
            Redis = null,
            SharedFolder = null,
            DataFolder = data.Hub,
            Urls = "http://127.0.0.1:0",
            ServeConsole = false,
            LogToConsole = false,

            // A program commands here, and presses no key between its commands.
            IdleLimit = TimeSpan.FromHours(12),
        }, clock);
        var address = await HubStart.Listen(hub, cancellationToken);
        var clinic = new InventedClinic(hub.Services);
        var people = await clinic.EnterClinic(cancellationToken);
        var session = await clinic.PlanOne(people, cancellationToken);

        await using var agent = await StartAgent(hub, address, data, cancellationToken);
        await using var link = new ConsoleLink(address, clock);
        await link.SignIn(new Uri(address, await hub.Services.GetRequiredService<SignInLinks>().Issue(people.Clinician, cancellationToken)), cancellationToken);
        if (await link.Watch(session, cancellationToken) is { } refusal)
        {
            throw new CliFault($"The session cannot be watched: {refusal.Sentence}", ExitCodes.Failed);
        }

        var end = await Walk(agent, link, listener, cancellationToken);
        output.WriteLine();
        Comparison.Print(Comparison.Make(listener, end.View.Thresholds), output);
        output.WriteLine(end.Sentence);
        if (Repeatability.Warning(_narrator.BrokenOffByLink) is { } warning)
        {
            output.WriteLine(warning);
        }

        await WriteFiles(link, end.View, cancellationToken);
        output.WriteLine($"Files are in {options.Out}: record.json, events.jsonl, audiogram.svg{(options.RecordSound ? ", sound.wav" : "")}.");
        await hub.StopAsync(cancellationToken);
        return end.Closed ? ExitCodes.Done : ExitCodes.Failed;
    }

    private async Task<SiteAgentProcess> StartAgent(WebApplication hub, Uri address, RehearsalData data, CancellationToken cancellationToken)
    {
        await SiteAgentProcess.Run(["provision", "--data", data.Kit, "--kit", "simulated"], clock, cancellationToken);
        var code = await hub.Services.GetRequiredService<KitFleet>().IssueEnrolmentCode(InventedClinic.Kit, cancellationToken);
        List<string> arguments =
        [
            "run", "--hub", address.ToString(), "--data", data.Kit, "--screen", "off", "--enrol", code,
            "--simulate", options.Listener.FullName, "--seed", options.Seed.ToString(CultureInfo.InvariantCulture),
            "--room", options.Room, "--pace", options.Pace, "--assistant", "scripted", "--end-with-input",
        ];
        if (options.ListenerSpreadDb is { } spread)
        {
            arguments.AddRange(["--listener-sd", spread.ToString(CultureInfo.InvariantCulture)]);
        }

        if (options.RecordSound)
        {
            arguments.AddRange(["--record", Path.Combine(options.Out.FullName, "sound.wav")]);
        }

        var agent = SiteAgentProcess.Start(arguments, clock);
        try
        {
            await agent.WaitForLine("linked to", _agentStart, cancellationToken);
            return agent;
        }
        catch
        {
            await agent.DisposeAsync();
            throw;
        }
    }

    private async Task<WalkEnd> Walk(SiteAgentProcess agent, ConsoleLink link, IReadOnlyList<ListenerThreshold> listener, CancellationToken cancellationToken)
    {
        var plan = new TestPlan(
            [.. listener.GroupBy(row => row.Ear).OrderBy(group => group.Key).Select(group => new EarPlan(group.Key, [.. group.Select(row => row.FrequencyHz)]))],
            options.Rule,
            ToneShape.Steady);
        using var ending = CancellationTokenSource.CreateLinkedTokenSource(cancellationToken);
        var walk = new ScriptedClinician(link, plan, _narrator, clock).Walk(ending.Token);
        if (await Task.WhenAny(walk, agent.Ended) == walk)
        {
            return await walk;
        }

        await ending.CancelAsync();
        return new WalkEnd(Closed: false, $"The site agent ended in the middle of the session, with code {agent.ExitCode}. {agent.Errors}", link.View);
    }

    private async Task WriteFiles(ConsoleLink link, SessionView view, CancellationToken cancellationToken)
    {
        async Task Write(string name, byte[] bytes) => await File.WriteAllBytesAsync(Path.Combine(options.Out.FullName, name), bytes, cancellationToken);

        await Write("record.json", await link.Read($"/api/sessions/{view.SessionId}/record", cancellationToken));
        await Write("events.jsonl", await link.Read($"/api/sessions/{view.SessionId}/events", cancellationToken));
        await Write("audiogram.svg", System.Text.Encoding.UTF8.GetBytes(RecordedAudiogram.Render(view)));
    }
}
