using System.Reflection;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Makes connections to the hub.</summary>
internal interface IHubConnector
{
    /// <summary>Address of the hub.</summary>
    Uri Hub { get; }

    /// <summary>Version of this program.</summary>
    string AgentVersion { get; }

    /// <summary>Has the kit enrolled, when it is not yet.</summary>
    /// <exception cref="FatalFaultException">It cannot be.</exception>
    Task PrepareAsync(CancellationToken cancellationToken);

    /// <summary>A new connection, not yet started.</summary>
    HubConnection Make();

    /// <summary>The link stands.</summary>
    void TellLinked();

    /// <summary>A fresh assertion of who this kit is, for one request; absent before it is enrolled.</summary>
    string? Assertion();
}

/// <summary>Makes connections to the hub: WebSocket only, a fresh assertion for each, quick to notice a dead line.</summary>
internal sealed class HubConnector(Uri hub, Func<CancellationToken, Task<KitCredential>> obtain, TimeProvider time) : IHubConnector, IDisposable
{
    /// <summary>The agent pings this often, so that the hub notices a dead kit.</summary>
    private static readonly TimeSpan _keepAlive = TimeSpan.FromSeconds(0.5);

    /// <summary>Without anything from the hub for this long, the line is dead. The lease ends sound sooner.</summary>
    private static readonly TimeSpan _serverTimeout = TimeSpan.FromSeconds(2);

    /// <summary>A connection attempt that hangs is given up.</summary>
    private static readonly TimeSpan _handshake = TimeSpan.FromSeconds(3);
    private KitCredential? _credential;
    private bool _told;

    public Uri Hub => hub;

    public string AgentVersion { get; } =
        typeof(HubConnector).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion.Split('+')[0] ?? "0";

    public async Task PrepareAsync(CancellationToken cancellationToken) => _credential ??= await obtain(cancellationToken);

    /// <summary>Prints once that the link stands, for whoever started the program.</summary>
    public void TellLinked()
    {
        if (!_told)
        {
            _told = true;
            Console.Out.WriteLine($"linked to {hub}");
        }
    }

    public string? Assertion() => _credential?.Token(time);

    public HubConnection Make()
    {
        var credential = _credential ?? throw new InvalidOperationException("The kit is not enrolled yet.");
        var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(hub, Protocol.KitHubPath), options =>
            {
                options.Transports = HttpTransportType.WebSockets;
                options.SkipNegotiation = true;
                options.AccessTokenProvider = () => Task.FromResult<string?>(credential.Token(time));
            })
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .Build();
        connection.KeepAliveInterval = _keepAlive;
        connection.ServerTimeout = _serverTimeout;
        connection.HandshakeTimeout = _handshake;
        return connection;
    }

    public void Dispose() => _credential?.Dispose();
}
