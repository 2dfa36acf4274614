using System.Net;
using System.Net.Sockets;
using System.Threading.Channels;

namespace TeleHearing.Testing;

/// <summary>A small forwarding proxy on loopback that can break a link in the two ways links break, a reset that both ends see and a silence that neither end is told of, and that can make it a long one.</summary>
public sealed class TcpProxy : IAsyncDisposable
{
    private readonly int _targetPort;
    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _ending = new();
    private readonly Lock _gate = new();
    private readonly List<Link> _links = [];
    private readonly Task _accepting;
    private volatile bool _refusing;
    private volatile bool _dropping;

    public TcpProxy(int targetPort)
    {
        _targetPort = targetPort;
        _listener = new TcpListener(IPAddress.Loopback, 0);
        _listener.Start();
        Port = ((IPEndPoint)_listener.LocalEndpoint).Port;
        _accepting = Accept();
    }

    /// <summary>Port to connect to.</summary>
    public int Port { get; }

    /// <summary>How long everything is under way, in each direction. Nothing at first.</summary>
    public TimeSpan OneWayDelay { get; set; }

    /// <summary>Resets every connection through the proxy at once and refuses new ones until <see cref="Restore"/>.</summary>
    public void Reset()
    {
        _refusing = true;
        foreach (var link in TakeLinks())
        {
            link.Abort();
        }
    }

    /// <summary>Carries nothing in either direction any more, connections old and new staying open, until <see cref="Restore"/>.</summary>
    public void DropSilently() => _dropping = true;

    /// <summary>Serves new connections again. Those whose traffic was dropped are reset: bytes are missing from their streams.</summary>
    public void Restore()
    {
        if (_dropping)
        {
            foreach (var link in TakeLinks())
            {
                link.Abort();
            }
        }

        _dropping = false;
        _refusing = false;
    }

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        _listener.Stop();
        foreach (var link in TakeLinks())
        {
            link.Abort();
        }

        await _accepting;
        _ending.Dispose();
    }

    private List<Link> TakeLinks()
    {
        lock (_gate)
        {
            List<Link> taken = [.. _links];
            _links.Clear();
            return taken;
        }
    }

    private async Task Accept()
    {
        while (!_ending.IsCancellationRequested)
        {
            Socket client;
            try
            {
                client = await _listener.AcceptSocketAsync(_ending.Token);
            }
            catch (Exception fault) when (fault is OperationCanceledException or SocketException or ObjectDisposedException)
            {
                return;
            }

            _ = Serve(client);
        }
    }

    private async Task Serve(Socket client)
    {
        var server = new Socket(SocketType.Stream, ProtocolType.Tcp) { NoDelay = true };
        client.NoDelay = true;
        var link = new Link(client, server);
        if (_refusing)
        {
            link.Abort();
            return;
        }

        lock (_gate)
        {
            _links.Add(link);
        }

        try
        {
            await server.ConnectAsync(IPAddress.Loopback, _targetPort, _ending.Token);
            await Task.WhenAny(Pump(client, server), Pump(server, client));
        }
        catch (Exception fault) when (fault is SocketException or OperationCanceledException or ObjectDisposedException)
        {
            // The target is not there, or the proxy is ending: the client sees a reset either way.
        }

        link.Abort();
        lock (_gate)
        {
            _links.Remove(link);
        }
    }

    private async Task Pump(Socket from, Socket to)
    {
        var underWay = Channel.CreateUnbounded<(byte[] Bytes, long Since)>();
        try
        {
            await Task.WhenAll(Receive(from, underWay.Writer), Send(underWay.Reader, to));
        }
        catch (Exception fault) when (fault is SocketException or OperationCanceledException or ObjectDisposedException)
        {
            // A broken link is this proxy's trade; the other direction is aborted by the caller.
        }
    }

    private async Task Receive(Socket from, ChannelWriter<(byte[] Bytes, long Since)> underWay)
    {
        var buffer = new byte[16 * 1024];
        try
        {
            while (true)
            {
                var count = await from.ReceiveAsync(buffer, SocketFlags.None, _ending.Token);
                if (_dropping)
                {
                    // An end that closes is not told of either; the link hangs until it is aborted.
                    if (count == 0)
                    {
                        await Task.Delay(Timeout.InfiniteTimeSpan, TimeProvider.System, _ending.Token);
                    }

                    continue;
                }

                if (count == 0)
                {
                    return;
                }

                underWay.TryWrite((buffer[..count], TimeProvider.System.GetTimestamp()));
            }
        }
        finally
        {
            underWay.TryComplete();
        }
    }

    /// <summary>Hands on what is under way when it is due. Everything is delayed alike, so that much traffic is no slower than little.</summary>
    private async Task Send(ChannelReader<(byte[] Bytes, long Since)> underWay, Socket to)
    {
        await foreach (var (bytes, since) in underWay.ReadAllAsync(_ending.Token))
        {
            var left = OneWayDelay - TimeProvider.System.GetElapsedTime(since);
            if (left > TimeSpan.Zero)
            {
                await Task.Delay(left, TimeProvider.System, _ending.Token);
            }

            for (var sent = 0; sent < bytes.Length && !_dropping;)
            {
                sent += await to.SendAsync(bytes.AsMemory(sent), SocketFlags.None, _ending.Token);
            }
        }
    }

    private sealed record Link(Socket Client, Socket Server)
    {
        /// <summary>Closes both ends with a reset instead of a polite end.</summary>
        public void Abort()
        {
            foreach (var socket in new[] { Client, Server })
            {
                try
                {
                    socket.LingerState = new LingerOption(true, 0);
                    socket.Close();
                }
                catch (Exception fault) when (fault is SocketException or ObjectDisposedException)
                {
                    // Already gone.
                }
            }
        }
    }
}
