using System.Reflection;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;
using TeleHearing.Links;
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
    IKitConnection Make();

    /// <summary>The link stands.</summary>
    void TellLinked();

    /// <summary>Who this kit is; absent before it is enrolled.</summary>
    KitCredential? Credential { get; }

    /// <summary>Puts what shows who this kit is on a request. False before it is enrolled.</summary>
    /// <exception cref="HttpRequestException">The hub does not answer.</exception>
    /// <exception cref="KitNotServedException">It does not let the kit in.</exception>
    Task<bool> AuthorizeAsync(HttpRequestMessage request, CancellationToken cancellationToken);
}

/// <summary>Makes connections to the hub: WebSocket only, a token with a fresh proof for each, quick to notice a dead line.</summary>
internal sealed partial class HubConnector(Uri hub, Func<CancellationToken, Task<KitCredential>> obtain, HttpClient http, TimeProvider time, ILogger<HubConnector> logger) : IHubConnector, IDisposable
{
    /// <summary>The agent gives a sign of life this often when it says nothing else: the hub grants sound only while it hears the kit.</summary>
    private static readonly TimeSpan _keepAlive = TimeSpan.FromSeconds(0.2);

    /// <summary>Without anything from the hub for this long, the line is dead. The lease ends sound sooner.</summary>
    private static readonly TimeSpan _serverTimeout = TimeSpan.FromSeconds(2);

    /// <summary>A connection attempt that hangs is given up.</summary>
    private static readonly TimeSpan _handshake = TimeSpan.FromSeconds(3);
    private HubTokens? _tokens;
    private bool _told;

    public Uri Hub => hub;

    public string AgentVersion { get; } =
        typeof(HubConnector).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion.Split('+')[0] ?? "0";

    public KitCredential? Credential { get; private set; }

    public async Task PrepareAsync(CancellationToken cancellationToken)
    {
        Credential ??= await obtain(cancellationToken);
        _tokens ??= new HubTokens(http, hub, Credential, time);
    }

    /// <summary>Prints once that the link stands, for whoever started the program.</summary>
    public void TellLinked()
    {
        if (!_told)
        {
            _told = true;
            Console.Out.WriteLine($"linked to {hub}");
        }
    }

    public async Task<bool> AuthorizeAsync(HttpRequestMessage request, CancellationToken cancellationToken)
    {
        if (_tokens is not { } tokens)
        {
            return false;
        }

        await tokens.AuthorizeAsync(request, cancellationToken);
        return true;
    }

    public IKitConnection Make()
    {
        var tokens = _tokens ?? throw new InvalidOperationException("The kit is not enrolled yet.");
        var connection = new HubConnectionBuilder()
            .WithUrl(new Uri(hub, Protocol.KitHubPath), options =>
            {
                options.Transports = HttpTransportType.WebSockets;
                options.SkipNegotiation = true;
                options.WebSocketFactory = (context, cancellationToken) => tokens.ConnectAsync(context.Uri, cancellationToken);
            })
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions))
            .WithSeals(fault => Log.NotAsSent(logger, fault.Expected, fault.Defence))
            .Build();
        connection.KeepAliveInterval = _keepAlive;
        connection.ServerTimeout = _serverTimeout;
        connection.HandshakeTimeout = _handshake;
        return new SignalRConnection(connection);
    }

    public void Dispose() => Credential?.Dispose();

    private static partial class Log
    {
        [LoggerMessage(EventId = 2229, Level = LogLevel.Warning, Message = "Record {Expected} from the hub did not come as it was sent ({Defence}). Nothing of it was used; linking again.")]
        public static partial void NotAsSent(ILogger logger, long expected, LinkDefence defence);
    }
}
