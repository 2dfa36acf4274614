using System.Collections.Concurrent;
using System.Globalization;
using System.Net;
using System.Net.Sockets;
using System.Text;
using System.Text.RegularExpressions;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Stands between programs and the hub and keeps the address of every request, as a proxy on the way would see and log it.</summary>
internal sealed partial class AddressRecorder : IAsyncDisposable
{
    private readonly int _hub;
    private readonly TcpListener _listener = new(IPAddress.Loopback, 0);
    private readonly CancellationTokenSource _ending = new();
    private readonly ConcurrentQueue<string> _asked = new();
    private readonly ConcurrentBag<Task> _links = [];
    private readonly Task _accepting;

    public AddressRecorder(int hub)
    {
        _hub = hub;
        _listener.Start();
        _accepting = Accept();
    }

    /// <summary>Address in place of the hub's.</summary>
    public Uri Address => new(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{((IPEndPoint)_listener.LocalEndpoint).Port}"));

    /// <summary>Method and address of every request so far.</summary>
    public IReadOnlyList<string> Asked => [.. _asked];

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        _listener.Stop();
        await Task.WhenAll([_accepting, .. _links]);
        _ending.Dispose();
    }

    private async Task Accept()
    {
        try
        {
            while (true)
            {
                _links.Add(Carry(await _listener.AcceptTcpClientAsync(_ending.Token)));
            }
        }
        catch (Exception fault) when (fault is OperationCanceledException or SocketException or ObjectDisposedException)
        {
            // The test is over.
        }
    }

    private async Task Carry(TcpClient from)
    {
        using (from)
        using (var to = new TcpClient())
        {
            try
            {
                await to.ConnectAsync(IPAddress.Loopback, _hub, _ending.Token);
                using var ended = CancellationTokenSource.CreateLinkedTokenSource(_ending.Token);
                await Task.WhenAny(Pass(from.GetStream(), to.GetStream(), new Reader(_asked), ended.Token), Pass(to.GetStream(), from.GetStream(), null, ended.Token));
                await ended.CancelAsync();
            }
            catch (Exception fault) when (fault is OperationCanceledException or SocketException or IOException)
            {
                // One side is gone, and so is the link.
            }
        }
    }

    private static async Task Pass(NetworkStream from, NetworkStream to, Reader? reader, CancellationToken cancellationToken)
    {
        var buffer = new byte[16 * 1024];
        try
        {
            int read;
            while ((read = await from.ReadAsync(buffer, cancellationToken)) > 0)
            {
                reader?.Take(buffer.AsSpan(0, read));
                await to.WriteAsync(buffer.AsMemory(0, read), cancellationToken);
            }
        }
        catch (Exception fault) when (fault is OperationCanceledException or SocketException or IOException or ObjectDisposedException)
        {
            // As above.
        }
    }

    [GeneratedRegex("(?:GET|POST|PUT|DELETE|HEAD) [^ \\r\\n]+(?= HTTP/1\\.1\\r\\n)")]
    private static partial Regex RequestLine();

    /// <summary>Reads what one side sends until it speaks WebSocket, which has no addresses.</summary>
    private sealed class Reader(ConcurrentQueue<string> asked)
    {
        private readonly StringBuilder _unread = new();
        private bool _upgraded;

        public void Take(ReadOnlySpan<byte> bytes)
        {
            if (_upgraded)
            {
                return;
            }

            _unread.Append(Encoding.Latin1.GetString(bytes));
            var text = _unread.ToString();
            var upTo = 0;
            foreach (Match line in RequestLine().Matches(text))
            {
                asked.Enqueue(line.Value);
                upTo = line.Index + line.Length;
            }

            _upgraded = text.Contains("Upgrade: websocket", StringComparison.OrdinalIgnoreCase);
            _unread.Clear().Append(text, upTo, text.Length - upTo);
        }
    }
}
