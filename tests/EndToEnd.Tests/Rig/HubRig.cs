using System.Globalization;
using Microsoft.Extensions.DependencyInjection;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>A hub as a process of its own on a data folder that outlives it, with one invented session planned.</summary>
internal sealed class HubRig : IAsyncDisposable
{
    private readonly TempFolder _folder = new();
    private readonly Queue<string> _links = new();
    private RealProcess? _process;

    private HubRig(string? folder)
    {
        Data = Path.Combine(folder ?? _folder.Path, "hub");
        Port = FreePorts.Take();
    }

    /// <summary>The planned session.</summary>
    public SessionId Session { get; private set; }

    /// <summary>One-time code for the kit.</summary>
    public string EnrolmentCode { get; private set; } = string.Empty;

    /// <summary>Account ids.</summary>
    public ClinicPeople People { get; private set; } = new(string.Empty, string.Empty, string.Empty, string.Empty, string.Empty);

    /// <summary>Port it listens on, the same after every start.</summary>
    public int Port { get; }

    /// <summary>Its address.</summary>
    public Uri Address => new(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{Port}"));

    /// <summary>Its data folder.</summary>
    public string Data { get; }

    /// <summary>The running process.</summary>
    public RealProcess Process => _process ?? throw new InvalidOperationException("The hub was not started.");

    /// <summary>Makes a data folder and starts the hub on it.</summary>
    public static Task<HubRig> Start(CancellationToken cancellationToken) => Start(folder: null, cancellationToken);

    /// <summary>Likewise, with more entered before it starts.</summary>
    public static Task<HubRig> Start(Func<IServiceProvider, ClinicPeople, Task> enterMore, CancellationToken cancellationToken) => Start(folder: null, cancellationToken, enterMore);

    /// <summary>Makes the data folder inside one of one's own and starts the hub on it.</summary>
    public static async Task<HubRig> Start(string? folder, CancellationToken cancellationToken, Func<IServiceProvider, ClinicPeople, Task>? enterMore = null)
    {
        var rig = new HubRig(folder);
        await using (var seeding = HubHost.Build(new HubSettings { DataFolder = rig.Data, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false }))
        {
            var clinic = new InventedClinic(seeding.Services);
            rig.People = await clinic.EnterClinic(cancellationToken);
            rig.Session = await clinic.PlanOne(rig.People, cancellationToken);
            rig.EnrolmentCode = await seeding.Services.GetRequiredService<KitFleet>().IssueEnrolmentCode(InventedClinic.Kit, cancellationToken);
            foreach (var person in new[] { rig.People.Clinician, rig.People.SecondClinician })
            {
                rig._links.Enqueue(await seeding.Services.GetRequiredService<SignInLinks>().Issue(person, cancellationToken));
            }

            if (enterMore is not null)
            {
                await enterMore(seeding.Services, rig.People);
            }
        }

        await rig.StartAgain(cancellationToken);
        return rig;
    }

    /// <summary>Starts it on the same folder and port.</summary>
    public async Task StartAgain(CancellationToken cancellationToken)
    {
        if (_process is not null)
        {
            await _process.DisposeAsync();
        }

        _process = RealProcess.Dotnet(BuiltPrograms.Hub, "serve", "--data", Data, "--urls", Address.ToString());
        await _process.WaitForLine("console:", Limits.Start, cancellationToken);
    }

    /// <summary>Ends it as a power cut would.</summary>
    public async Task Kill(CancellationToken cancellationToken)
    {
        Process.KillHard();
        await Process.WaitForExit(Limits.End, cancellationToken);
    }

    /// <summary>Signs a clinician in and watches the session: first call the clinician it is planned for, second call the other.</summary>
    /// <param name="cancellationToken">Cancels.</param>
    /// <param name="through">Address of a proxy before the hub; the hub's own when absent.</param>
    public async Task<ConsoleLink> SignIn(CancellationToken cancellationToken, Uri? through = null)
    {
        var link = new ConsoleLink(through ?? Address, TimeProvider.System);
        await link.SignIn(new Uri(through ?? Address, _links.Dequeue()), cancellationToken);
        Assert.Null(await link.Watch(Session, cancellationToken));
        return link;
    }

    public async ValueTask DisposeAsync()
    {
        if (_process is not null)
        {
            await _process.DisposeAsync();
        }

        _folder.Dispose();
    }
}
