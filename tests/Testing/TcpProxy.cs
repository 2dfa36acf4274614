using System.Net;
using System.Net.Sockets;
using System.Threading.Channels;

namespace TeleHearing.Testing;

/// <summary>A small forwarding proxy on loopback that can do to a link what networks do: reset, refuse, hold, drop in one direction or both, delay, narrow, slice and corrupt.</summary>
public sealed class TcpProxy : IAsyncDisposable
{
    private readonly int _targetPort;
    private readonly TcpListener _listener;
    private readonly CancellationTokenSource _ending = new();
    private readonly Lock _gate = new();
    private readonly List<Link> _links = [];
    private readonly Task _accepting;
    private volatile bool _refusing;

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

    /// <summary>From whoever connects to the target.</summary>
    public ProxyWay ToTarget { get; } = new();

    /// <summary>From the target to whoever connected.</summary>
    public ProxyWay FromTarget { get; } = new();

    /// <summary>How long everything is under way, in each direction. Nothing at first.</summary>
    public TimeSpan OneWayDelay
    {
        get => ToTarget.Delay;
        set => (ToTarget.Delay, FromTarget.Delay) = (value, value);
    }

    /// <summary>Connections that stand.</summary>
    public int Standing
    {
        get
        {
            lock (_gate)
            {
                return _links.Count;
            }
        }
    }

    /// <summary>Resets every connection through the proxy at once and refuses new ones until <see cref="Restore"/>.</summary>
    public void Reset()
    {
        _refusing = true;
        ResetOnce();
    }

    /// <summary>Resets every connection that stands, and serves new ones.</summary>
    public void ResetOnce()
    {
        foreach (var link in TakeLinks())
        {
            link.Abort();
        }
    }

    /// <summary>Carries nothing in either direction any more, connections old and new staying open, until <see cref="Restore"/>.</summary>
    public void DropSilently() => (ToTarget.Drops, FromTarget.Drops) = (true, true);

    /// <summary>Serves new connections again, undisturbed. Those whose traffic was dropped are reset: bytes are missing from their streams.</summary>
    public void Restore()
    {
        if (ToTarget.Drops || FromTarget.Drops)
        {
            ResetOnce();
        }

        ToTarget.Clear();
        FromTarget.Clear();
        _refusing = false;
    }

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        _listener.Stop();
        ResetOnce();
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
            await server.ConnectAsync(new IPEndPoint(IPAddress.Loopback, _targetPort), _ending.Token);
            await Task.WhenAny(Pump(client, server, ToTarget), Pump(server, client, FromTarget));
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

    private async Task Pump(Socket from, Socket to, ProxyWay way)
    {
        var underWay = Channel.CreateUnbounded<(byte[] Bytes, long Since)>();
        try
        {
            await Task.WhenAll(Receive(from, underWay.Writer, way), Send(underWay.Reader, to, way));
        }
        catch (Exception fault) when (fault is SocketException or OperationCanceledException or ObjectDisposedException)
        {
            // A broken link is this proxy's trade; the other direction is aborted by the caller.
        }
    }

    private async Task Receive(Socket from, ChannelWriter<(byte[] Bytes, long Since)> underWay, ProxyWay way)
    {
        var buffer = new byte[16 * 1024];
        try
        {
            while (true)
            {
                var count = await from.ReceiveAsync(buffer, SocketFlags.None, _ending.Token);
                if (way.Drops)
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

                way.Corrupt(buffer.AsSpan(0, count));
                underWay.TryWrite((buffer[..count], TimeProvider.System.GetTimestamp()));
            }
        }
        finally
        {
            underWay.TryComplete();
        }
    }

    /// <summary>Hands on what is under way when it is due. Everything is delayed alike, so that much traffic is no slower than little unless the way is narrow.</summary>
    private async Task Send(ChannelReader<(byte[] Bytes, long Since)> underWay, Socket to, ProxyWay way)
    {
        await foreach (var (bytes, since) in underWay.ReadAllAsync(_ending.Token))
        {
            var left = way.Delay - TimeProvider.System.GetElapsedTime(since);
            if (left > TimeSpan.Zero)
            {
                await Task.Delay(left, TimeProvider.System, _ending.Token);
            }

            for (var sent = 0; sent < bytes.Length && !way.Drops;)
            {
                await way.Held.WaitAsync(_ending.Token);
                var most = Math.Min(bytes.Length - sent, way.SliceBytes > 0 ? way.SliceBytes : int.MaxValue);
                if (way.BytesPerSecond > 0)
                {
                    // A tenth of a second's worth at a time.
                    most = Math.Min(most, Math.Max(1, way.BytesPerSecond / 10));
                    await Task.Delay(TimeSpan.FromSeconds((double)most / way.BytesPerSecond), TimeProvider.System, _ending.Token);
                }

                sent += await to.SendAsync(bytes.AsMemory(sent, most), SocketFlags.None, _ending.Token);
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
