using System.Diagnostics.Metrics;
using System.Reflection;
using Microsoft.AspNetCore.SignalR;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Network;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Parts;

/// <summary>One run of the hub's program: everything of it but Kestrel, SignalR's transport and the pages. Its database is a real one, in a folder of its own.</summary>
internal sealed class HubMachine
{
    private static readonly MethodInfo _execute = typeof(BackgroundService).GetMethod("ExecuteAsync", BindingFlags.Instance | BindingFlags.NonPublic)!;

    /// <summary>What <see cref="Start"/> runs.</summary>
    private static readonly Type[] _run = [typeof(EndedHolders), typeof(LinkWatch), typeof(LeaseRenewer), typeof(ControlWatch), typeof(Broadcaster)];

    /// <summary>What it does not, and why.</summary>
    private static readonly Dictionary<string, string> _leftOut = new()
    {
        [nameof(NeighbourWatch)] = "Does nothing in a hub that is alone on its database.",
        [nameof(LogFollower)] = "Does nothing in a hub that is alone on its database.",
        [nameof(WireListener)] = "Does nothing in a hub that is alone on its database.",
        [nameof(BoardReadAhead)] = "Reads the board of kits ahead, which no simulated console shows.",
        [nameof(LiveWatch)] = "Ends consoles of accounts that were closed or changed, and covers those left; the simulated people keep theirs and stay.",
        ["DataProtectionHostedService"] = "Reads the hub's own keys before they are needed; every world has them.",
        ["HealthCheckPublisherHostedService"] = "Has nobody to tell.",
        [nameof(RefusalFlush)] = "Writes counts of refusals to the audit once a minute, and touches no session.",
    };

    private readonly Dictionary<string, KitHubEnd> _kits = new(StringComparer.Ordinal);
    private readonly Dictionary<string, ConsoleHubEnd> _consoles = new(StringComparer.Ordinal);
    private readonly ServiceProvider _services;
    private int _connections;

    public HubMachine(Machine machine, string folder, Random seeds, StoreWay way, Planted planted)
    {
        (Machine, Folder) = (machine, folder);
        var services = Clinic.One.Services(Clinic.Settings(folder));
        services.AddSingleton<TimeProvider>(machine.Clock);
        services.AddSingleton<StepSeeds>(new DrawnSeeds(seeds));
        services.AddSingleton<IHubContext<KitHub, IKitClient>>(new SimHubContext<KitHub, IKitClient>(id => _kits[id]));
        services.AddSingleton<IHubContext<ConsoleHub, IConsoleClient>>(new SimHubContext<ConsoleHub, IConsoleClient>(id => _consoles[id]));
        var inner = services.Last(service => service.ServiceType == typeof(IDbContextFactory<HubContext>));
        services.AddSingleton<IDbContextFactory<HubContext>>(provider => new SlowContexts((IDbContextFactory<HubContext>)Make(provider, inner), machine, way));
        services.AddSingleton(provider => new EventLog(provider.GetRequiredService<IDbContextFactory<HubContext>>(), provider.GetRequiredService<LogDialect>(), machine.Clock) { LateClock = machine.Clock });
        services.AddSingleton<IEventLog>(provider => new SlowLog(provider.GetRequiredService<EventLog>(), machine, way));
        planted.Hub(services);
        HostedServices.Check(services, _run, _leftOut);
        _services = services.BuildServiceProvider();
    }

    public Machine Machine { get; }

    public string Folder { get; }

    /// <summary>Whether connections are taken.</summary>
    public bool Serves { get; private set; }

    public IServiceProvider Services => _services;

    /// <summary>Starts it as a host does: what the hub finds is put in order before the first connection is taken.</summary>
    public void Start() => Machine.Begin(async () =>
    {
        StorageRegistration.Prepare(_services);
        await ActivatorUtilities.CreateInstance<EndedHolders>(_services).StartAsync(CancellationToken.None);
        await _services.GetRequiredService<LinkWatch>().StartAsync(CancellationToken.None);
        Run(ActivatorUtilities.CreateInstance<LeaseRenewer>(_services));
        Run(ActivatorUtilities.CreateInstance<ControlWatch>(_services));
        var broadcaster = _services.GetRequiredService<Broadcaster>();
        broadcaster.GatherClock = Machine.Clock;
        Run(broadcaster);
        Serves = true;
    });

    /// <summary>Takes a connection of a kit.</summary>
    public KitHubEnd Take(Line line, KitId kitId, ILeaseWitness witness)
    {
        var end = new KitHubEnd($"kit-{++_connections}", line, kitId, _services, witness);
        _kits.Add(end.ConnectionId, end);
        return end;
    }

    /// <summary>Takes a connection of a console. Whoever it is was signed in before: the hub looks that up, as it does for the cookie.</summary>
    /// <returns>Null when the disk does not let it: the request is answered with a fault, as Kestrel answers whatever is thrown in one, and the program goes on.</returns>
    public async Task<ConsoleHubEnd?> Take(Line line, SignedInPerson person, Action<SessionView> shows)
    {
        var end = new ConsoleHubEnd($"console-{++_connections}", line, person, _services, shows);
        _consoles.Add(end.ConnectionId, end);
        try
        {
            await _services.GetRequiredService<SignIns>().Find(person.SignInId, CancellationToken.None);
            return end;
        }
        catch (SqliteException)
        {
            _consoles.Remove(end.ConnectionId);
            return null;
        }
    }

    /// <summary>Lets go of files and memory, once nothing of it matters any more.</summary>
    public void Close()
    {
        _ = _services.GetRequiredService<EventLog>().DisposeAsync();
        using var connection = new SqliteConnection($"Data Source={Path.Combine(Folder, StorageRegistration.FileName)}");
        SqliteConnection.ClearPool(connection);

        // The keys have connections of their own; kept for minutes, those of some thousand worlds would be all the files this process may open.
        using var keys = _services.GetRequiredService<KeyDatabase>().Open();
        SqliteConnection.ClearPool((SqliteConnection)keys);

        // Gauges are kept by the process until they are disposed, and with them whatever they look at.
        _services.GetRequiredService<IMeterFactory>().Dispose();
    }

    private void Run(BackgroundService service) => Machine.Begin(() => (Task)_execute.Invoke(service, [CancellationToken.None])!);

    private static object Make(IServiceProvider provider, ServiceDescriptor descriptor) =>
        descriptor.ImplementationFactory?.Invoke(provider) ?? ActivatorUtilities.CreateInstance(provider, descriptor.ImplementationType!);

    /// <summary>Seeds of steps from the world's seed.</summary>
    private sealed class DrawnSeeds(Random seeds) : StepSeeds
    {
        public override int Next() => seeds.Next();
    }
}
