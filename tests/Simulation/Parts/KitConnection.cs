using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Simulation.Faults;
using TeleHearing.Simulation.Network;
using TeleHearing.Simulation.Scheduling;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Simulation.Parts;

/// <summary>Where a kit's connections lead: to the hub that runs now, if one does.</summary>
internal interface IHubPlace
{
    /// <summary>The hub that takes connections now.</summary>
    HubMachine? Hub { get; }
}

/// <summary>Makes connections of the kit. What is left out of the real way is what lies before the first message: the token with its proof and the WebSocket.</summary>
internal sealed class SimConnector(Machine machine, Wire wire, IHubPlace place, KitWitness witness, KitCredential credential, Planted planted) : IHubConnector
{
    public Uri Hub { get; } = new("http://hub.invalid");

    public string AgentVersion => "simulated";

    public KitCredential? Credential => credential;

    public Task PrepareAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public IKitConnection Make() => new KitConnection(machine, wire, place, witness, credential.Who.KitId, planted);

    public void TellLinked()
    {
        // Nobody started the program from a command line.
    }

    public Task<bool> AuthorizeAsync(HttpRequestMessage request, CancellationToken cancellationToken) => Task.FromResult(false);
}

/// <summary>One simulated connection of a kit.</summary>
internal sealed class KitConnection(Machine machine, Wire wire, IHubPlace place, KitWitness witness, KitId kitId, Planted planted) : IKitConnection
{
    /// <summary>As the real ones: the kit speaks five times a second and gives up after two seconds; the hub speaks every second and gives up after two and a half.</summary>
    private static readonly Pulse _pulse = new(TimeSpan.FromSeconds(0.2), TimeSpan.FromSeconds(2), TimeSpan.FromSeconds(1), TimeSpan.FromSeconds(2.5));

    private static readonly TimeSpan _handshake = TimeSpan.FromSeconds(3);

    private readonly Dictionary<string, Action<object>> _handlers = new(StringComparer.Ordinal);
    private Line? _line;
    private Calls? _calls;
    private KitHubEnd? _end;

    public event Func<Exception?, Task>? Closed;

    public async Task StartAsync(CancellationToken cancellationToken)
    {
        // There and back for the socket, and once more for what is said on it first.
        await Task.Delay(TimeSpan.FromTicks(3 * wire.TripTicks()), machine.Clock, cancellationToken);
        if (wire.Silent)
        {
            await Task.Delay(_handshake, machine.Clock, cancellationToken);
            throw new HttpRequestException("The hub does not answer.");
        }

        if (wire.Refuses || place.Hub is not { } hub)
        {
            throw new HttpRequestException("The hub takes no connection.");
        }

        _line = new Line(machine.Loop, wire, _pulse, machine, hub.Machine);
        _calls = new Calls(_line);
        _end = hub.Take(_line, kitId, witness);
        _end.Client = (method, argument) =>
        {
            witness.Heard(method, argument);
            if (method != planted.KitIgnores && _handlers.TryGetValue(method, out var handler))
            {
                handler(argument);
            }
        };
        _line.ClientClosed += () =>
        {
            witness.LinkEnded();
            _ = Closed?.Invoke(null);
        };
    }

    public async Task<T> InvokeAsync<T>(string method, object argument, CancellationToken cancellationToken)
    {
        var (calls, end) = (_calls ?? throw new InvalidOperationException("The connection was not started."), _end!);
        if (argument is SignedReports reports)
        {
            witness.Says(reports);
        }

        var answer = planted.Answers(argument) is T given ? given : await calls.Ask<T>(method, reply => end.Serve(method, argument, reply), cancellationToken, free: method == nameof(IKitHub.Report));
        witness.Answered(argument, answer);
        return answer;
    }

    public Task SendAsync(string method, object argument, CancellationToken cancellationToken)
    {
        var (line, end) = (_line!, _end!);
        line.ToHub(method, () => end.Serve(method, argument, (_, _) => { }));
        return Task.CompletedTask;
    }

    public void On<T>(string method, Action<T> handler) => _handlers[method] = argument => handler((T)argument);

    public ValueTask DisposeAsync()
    {
        _line?.CloseAsClient();
        return ValueTask.CompletedTask;
    }
}
