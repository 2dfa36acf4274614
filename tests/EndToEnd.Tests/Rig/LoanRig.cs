using System.Globalization;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A hub, a coordinator and two kits with gear of their own that have told it to the hub: one with a session planned for tomorrow, the other with one for tomorrow and one a week later. The clinic works every day.</summary>
internal sealed class LoanRig : IAsyncDisposable
{
    public static readonly KitId First = new("kit-07");
    public static readonly KitId Second = new("kit-08");
    private static readonly PersonTested _person = new("P-0131", "Ottilie Brandvold", new DateOnly(1951, 3, 4), "First test.");

    private LoanRig(HubRig hub, CoordinatorDesk desk, AgentRig firstKit, AgentRig secondKit, SessionId session, SessionId next, SessionId weekLater)
    {
        (Hub, Desk, FirstKit, SecondKit) = (hub, desk, firstKit, secondKit);
        (Session, Next, WeekLater) = (session, next, weekLater);
        (FirstSite, SecondSite) = (new KitAtSite(firstKit, hub.Address), new KitAtSite(secondKit, hub.Address));
    }

    public HubRig Hub { get; }

    public CoordinatorDesk Desk { get; }

    public AgentRig FirstKit { get; }

    public AgentRig SecondKit { get; }

    public KitAtSite FirstSite { get; }

    public KitAtSite SecondSite { get; }

    /// <summary>Tomorrow's session, with the first kit.</summary>
    public SessionId Session { get; }

    /// <summary>Tomorrow's session with the second kit.</summary>
    public SessionId Next { get; }

    /// <summary>Its other session, a week later.</summary>
    public SessionId WeekLater { get; }

    /// <summary>Brings everything up. The first kit and its session are entered by the command line beside the running hub.</summary>
    public static async Task<LoanRig> Start(CancellationToken cancellationToken)
    {
        var (coordinator, secondCode, next, weekLater) = (string.Empty, string.Empty, default(SessionId), default(SessionId));
        var hub = await HubRig.Start(
            async (services, people) =>
            {
                await services.GetRequiredService<KitFleet>().Enter(Second, "loan kit", "on the shelf", cancellationToken);
                secondCode = await services.GetRequiredService<KitFleet>().IssueEnrolmentCode(Second, cancellationToken);
                coordinator = await services.GetRequiredService<SignInLinks>().Issue(people.Coordinator, cancellationToken);
                (next, weekLater) = (await Plan(1), await Plan(8));

                Task<SessionId> Plan(int days) => services.GetRequiredService<SessionSchedule>().Plan(
                    new SessionPlan(_person, "at home, kit posted", TimeProvider.System.GetUtcNow().AddDays(days), Second, people.SecondClinician),
                    cancellationToken);
            },
            cancellationToken);
        var desk = await CoordinatorDesk.SignIn(hub.Address, coordinator, cancellationToken);
        await desk.Must(new SetCalendar(FleetCalendar.Clinic, [], []), cancellationToken);
        var added = await Verb(cancellationToken, "kits", "add", First.Value, "--label", "loan kit", "--where", "on the shelf", "--data", hub.Data);
        await Verb(
            cancellationToken,
            "sessions", "plan", "--reference", _person.Reference, "--name", _person.Name, "--born", "1951-03-04", "--referral", _person.Referral,
            "--place", "at home, kit posted", "--start", TimeProvider.System.GetLocalNow().AddDays(1).ToString("yyyy-MM-ddTHH:mm", CultureInfo.InvariantCulture),
            "--kit", First.Value, "--clinician", InventedClinic.Clinician, "--data", hub.Data);
        var session = Assert.Single((await desk.Fleet(cancellationToken)).Sessions, planned => planned.KitId == First).SessionId;
        var firstCode = CodeIn(added);
        var first = new AgentRig(hub.Address, SessionRig.ShortListener, number: 7, screen: true);
        var second = new AgentRig(hub.Address, SessionRig.ShortListener, number: 8, screen: true);

        // A kit is promised only once it has told its calibration: each is linked once where it is kept.
        foreach (var (agent, code) in new[] { (first, firstCode), (second, secondCode) })
        {
            await agent.Provision("valid", cancellationToken);
            await agent.Start("fast", code, cancellationToken);
            await agent.Kill(cancellationToken);
        }

        return new LoanRig(hub, desk, first, second, session, next, weekLater);
    }

    /// <summary>A new enrolment code for a kit, by the command line beside the running hub.</summary>
    public async Task<string> NewCode(KitId kitId, CancellationToken cancellationToken) =>
        CodeIn(await Verb(cancellationToken, "kits", "add", kitId.Value, "--label", "loan kit", "--where", "on the shelf", "--data", Hub.Data));

    /// <summary>Runs a verb of the hub's command line.</summary>
    /// <returns>What it printed.</returns>
    public static async Task<string> Verb(CancellationToken cancellationToken, params IEnumerable<string> arguments)
    {
        await using var process = RealProcess.Dotnet(BuiltPrograms.Hub, arguments);
        var code = await process.WaitForExit(Limits.Start, cancellationToken);
        Assert.True(code == 0, $"exit {code}\n{process.Text()}");
        return process.Text();
    }

    private static string CodeIn(string printed) => printed.Split('\n').Single(line => line.StartsWith("enrolment code", StringComparison.Ordinal)).Split(' ')[^1];

    public async ValueTask DisposeAsync()
    {
        FirstSite.Dispose();
        SecondSite.Dispose();
        await FirstKit.DisposeAsync();
        await SecondKit.DisposeAsync();
        await Desk.DisposeAsync();
        await Hub.DisposeAsync();
    }
}
