using System.Buffers;
using System.Collections.Concurrent;
using System.Net.WebSockets;
using System.Text;
using TeleHearing.Links;

namespace TeleHearing.Testing.Messages;

/// <summary>One WebSocket through a <see cref="MessageProxy"/>.</summary>
public sealed class WireConnection
{
    private const int Kept = 200;

    private readonly WebSocket? _client;
    private readonly WebSocket? _server;
    private readonly SemaphoreSlim _toClient = new(1, 1);
    private readonly SemaphoreSlim _toServer = new(1, 1);
    private readonly Lock _gate = new();
    private readonly ConcurrentDictionary<LinkDirection, LinkSeal> _seals = new();
    private readonly Dictionary<LinkDirection, Queue<string>> _passed = new() { [LinkDirection.ToHub] = new(), [LinkDirection.FromHub] = new() };

    /// <summary>One that carries nothing, for records that are changed without a network.</summary>
    public WireConnection(int number, string address) => (Number, Address) = (number, address);

    internal WireConnection(int number, string address, WebSocket client, WebSocket server) => (Number, Address, _client, _server) = (number, address, client, server);

    /// <summary>Seals a message in the place of the one that came; each direction by itself.</summary>
    internal string SealAnew(LinkDirection direction, string body)
    {
        var key = LinkKey.Read(Address.Split('?', '&').FirstOrDefault(part => part.StartsWith($"{LinkKey.QueryName}=", StringComparison.Ordinal))?.Split('=')[1])
            ?? throw new InvalidOperationException("The connection has no key.");
        var seal = _seals.TryGetValue(direction, out var known) ? known : _seals[direction] = new LinkSeal(key, direction);
        var written = new ArrayBufferWriter<byte>();
        seal.Seal(Encoding.UTF8.GetBytes(body), written);
        return Encoding.UTF8.GetString(written.WrittenSpan[..^1]);
    }

    /// <summary>Counts up with every connection of the proxy.</summary>
    public int Number { get; }

    /// <summary>Path and query it was asked for with.</summary>
    public string Address { get; }

    /// <summary>Path it was asked for with.</summary>
    public string Path => Address.Split('?')[0];

    /// <summary>Whether it stands.</summary>
    public bool Stands { get; internal set; } = true;

    /// <summary>The newest records as they were sent that way, oldest first.</summary>
    public IReadOnlyList<string> Passed(LinkDirection direction)
    {
        lock (_gate)
        {
            return [.. _passed[direction]];
        }
    }

    /// <summary>Hands a text on as a record.</summary>
    public async Task Send(LinkDirection direction, string text, CancellationToken cancellationToken)
    {
        var (socket, gate) = direction == LinkDirection.ToHub ? (_server, _toServer) : (_client, _toClient);
        await gate.WaitAsync(cancellationToken);
        try
        {
            await socket!.SendAsync(Encoding.UTF8.GetBytes(text + (char)LinkSeal.RecordEnd), WebSocketMessageType.Text, endOfMessage: true, cancellationToken);
        }
        finally
        {
            gate.Release();
        }
    }

    /// <summary>Notes a record that passed.</summary>
    public void Note(LinkDirection direction, string text)
    {
        lock (_gate)
        {
            _passed[direction].Enqueue(text);
            if (_passed[direction].Count > Kept)
            {
                _passed[direction].Dequeue();
            }
        }
    }

    internal WebSocket SocketFrom(LinkDirection direction) => (direction == LinkDirection.ToHub ? _client : _server)!;

    /// <summary>Ends it for both ends, as a reset does.</summary>
    public void Abort()
    {
        Stands = false;
        _client?.Abort();
        _server?.Abort();
    }
}
