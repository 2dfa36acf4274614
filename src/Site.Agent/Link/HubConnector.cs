using System.Reflection;
using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR.Client;
using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Makes connections to the hub: WebSocket only, a fresh assertion for each, quick to notice a dead line.</summary>
internal sealed class HubConnector(Uri hub, KitCredential credential, TimeProvider time)
{
    /// <summary>The agent pings this often, so that the hub notices a dead kit.</summary>
    private static readonly TimeSpan _keepAlive = TimeSpan.FromSeconds(0.5);

    /// <summary>Without anything from the hub for this long, the line is dead. The lease ends sound sooner.</summary>
    private static readonly TimeSpan _serverTimeout = TimeSpan.FromSeconds(2);

    /// <summary>A connection attempt that hangs is given up.</summary>
    private static readonly TimeSpan _handshake = TimeSpan.FromSeconds(3);
    private readonly HashSet<Uri> _told = [];

    /// <summary>Address of the hub.</summary>
    public Uri Hub => hub;

    /// <summary>Version of this program.</summary>
    public string AgentVersion { get; } =
        typeof(HubConnector).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion.Split('+')[0] ?? "0";

    /// <summary>Prints once that the link stands, for whoever started the program.</summary>
    public void TellLinked()
    {
        if (_told.Add(hub))
        {
            Console.Out.WriteLine($"linked to {hub}");
        }
    }

    public HubConnection Make()
    {
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
}
