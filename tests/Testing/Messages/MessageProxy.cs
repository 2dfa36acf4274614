using System.Collections.Concurrent;
using System.Net;
using System.Net.Sockets;
using System.Net.WebSockets;
using System.Text;
using TeleHearing.Links;

namespace TeleHearing.Testing.Messages;

/// <summary>A proxy on loopback that reads what it carries: WebSockets (RFC 6455) record by record of SignalR's protocol, so that single messages can be tampered with knowingly. Anything else passes byte by byte.</summary>
public sealed class MessageProxy : IAsyncDisposable
{
    private const int LongestHead = 64 * 1024;

    private readonly int _targetPort;
    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _ending = new();
    private readonly ConcurrentDictionary<int, WireConnection> _connections = new();
    private readonly Task _accepting;
    private int _made;

    public MessageProxy(int targetPort)
    {
        _targetPort = targetPort;
        _listener = new TcpListener(IPAddress.Loopback, 0);
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _accepting = Accept();
    }

    /// <summary>Port to connect to.</summary>
    public int Port { get; }

    /// <summary>Called with every record before it is handed on; answers what is handed on in its place. Absent: everything passes. Waiting in it holds up that direction of that connection.</summary>
    public Func<WireRecord, Task<IReadOnlyList<string>>>? Tamper { get; set; }

    /// <summary>Whether records are sealed anew after they were tampered with, with the key in the connection's address: what then comes has a seal that fits, and only the message's own defences are left.</summary>
    public bool SealsAnew { get; init; }

    /// <summary>WebSockets that stand.</summary>
    public IReadOnlyList<WireConnection> Standing => [.. _connections.Values.Where(connection => connection.Stands).OrderBy(connection => connection.Number)];

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        _listener.Stop();
        foreach (var connection in _connections.Values)
        {
            connection.Abort();
        }

        await _accepting;
        _ending.Dispose();
    }

    private async Task Accept()
    {
        while (!_ending.IsCancellationRequested)
        {
            try
            {
                _ = Serve(await _listener.AcceptSocketAsync(_ending.Token));
            }
            catch (Exception fault) when (fault is OperationCanceledException or SocketException or ObjectDisposedException)
            {
                return;
            }
        }
    }

    private async Task Serve(Socket socket)
    {
        socket.NoDelay = true;
        var upstream = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        await using var client = new NetworkStream(socket, ownsSocket: true);
        try
        {
            await upstream.ConnectAsync(new IPEndPoint(IPAddress.Loopback, _targetPort), _ending.Token);
            await using var server = new NetworkStream(upstream, ownsSocket: true);
            var asked = await Head(client);
            await server.WriteAsync(asked, _ending.Token);
            if (!Encoding.ASCII.GetString(asked).Contains("\r\nUpgrade: websocket\r\n", StringComparison.OrdinalIgnoreCase))
            {
                await Task.WhenAny(client.CopyToAsync(server, _ending.Token), server.CopyToAsync(client, _ending.Token));
                return;
            }

            var answered = await Head(server);
            await client.WriteAsync(answered, _ending.Token);
            if (Encoding.ASCII.GetString(answered).StartsWith("HTTP/1.1 101", StringComparison.Ordinal))
            {
                await Carry(Encoding.ASCII.GetString(asked).Split(' ')[1], client, server);
            }
            else
            {
                await server.CopyToAsync(client, _ending.Token);
            }
        }
        catch (Exception fault) when (fault is IOException or SocketException or OperationCanceledException or ObjectDisposedException or WebSocketException)
        {
            // A broken link: both ends see it end.
        }
        finally
        {
            upstream.Dispose();
        }
    }

    private async Task Carry(string address, Stream client, Stream server)
    {
        using var atClient = WebSocket.CreateFromStream(client, new WebSocketCreationOptions { IsServer = true, KeepAliveInterval = TimeSpan.Zero });
        using var atServer = WebSocket.CreateFromStream(server, new WebSocketCreationOptions { IsServer = false, KeepAliveInterval = TimeSpan.Zero });
        var connection = new WireConnection(Interlocked.Increment(ref _made), address, atClient, atServer);
        _connections[connection.Number] = connection;
        try
        {
            await Task.WhenAny(Pump(connection, LinkDirection.ToHub), Pump(connection, LinkDirection.FromHub));
        }
        finally
        {
            connection.Abort();
            _connections.TryRemove(connection.Number, out _);
        }
    }

    private async Task Pump(WireConnection connection, LinkDirection direction)
    {
        var from = connection.SocketFrom(direction);
        var (buffer, record) = (new byte[16 * 1024], new MemoryStream());
        while (true)
        {
            var read = await from.ReceiveAsync(buffer.AsMemory(), _ending.Token);
            if (read.MessageType == WebSocketMessageType.Close)
            {
                return;
            }

            var rest = buffer.AsMemory(0, read.Count);
            while (rest.Span.IndexOf(LinkSeal.RecordEnd) is >= 0 and var end)
            {
                record.Write(rest.Span[..end]);
                rest = rest[(end + 1)..];
                await HandOn(new WireRecord(connection, direction, Encoding.UTF8.GetString(record.GetBuffer(), 0, (int)record.Length)));
                record.SetLength(0);
            }

            record.Write(rest.Span);
        }
    }

    private async Task HandOn(WireRecord record)
    {
        IReadOnlyList<string> texts = Tamper is { } tamper ? await tamper(record) : [record.Text];
        record.Connection.Note(record.Direction, record.Text);
        foreach (var text in texts)
        {
            await record.Connection.Send(record.Direction, SealsAnew ? record.Connection.SealAnew(record.Direction, record.With(text).Body) : text, _ending.Token);
        }
    }

    private async Task<byte[]> Head(Stream from)
    {
        var head = new List<byte>();
        var one = new byte[1];
        while (head.Count < LongestHead)
        {
            if (await from.ReadAsync(one, _ending.Token) == 0)
            {
                throw new IOException("The connection ended before its head did.");
            }

            head.Add(one[0]);
            if (one[0] == '\n' && head is [.., (byte)'\r', (byte)'\n', (byte)'\r', (byte)'\n'])
            {
                return [.. head];
            }
        }

        throw new IOException("The head does not end.");
    }
}
