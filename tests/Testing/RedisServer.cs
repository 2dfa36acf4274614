using System.Globalization;

namespace TeleHearing.Testing;

/// <summary>A Redis server of the tests' own, on a free port of loopback, that keeps nothing. Debian's package <c>redis-server</c>, installed by <c>tests/all.sh</c>.</summary>
public sealed class RedisServer : IAsyncDisposable
{
    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(30);

    private RealProcess _process;

    private RedisServer(int port, RealProcess process) => (Port, _process) = (port, process);

    /// <summary>Port it listens on.</summary>
    public int Port { get; }

    /// <summary>How to connect to it.</summary>
    public string Connection => string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{Port}");

    /// <summary>Starts one.</summary>
    public static async Task<RedisServer> Start()
    {
        var port = FreePorts.Take();
        return new RedisServer(port, await Run(port));
    }

    /// <summary>Kills it.</summary>
    public ValueTask Fail() => _process.DisposeAsync();

    /// <summary>Starts it again after <see cref="Fail"/>, on the same port.</summary>
    public async Task StartAgain() => _process = await Run(Port);

    /// <inheritdoc />
    public ValueTask DisposeAsync() => _process.DisposeAsync();

    private static async Task<RealProcess> Run(int port)
    {
        var process = RealProcess.Start("redis-server", ["--port", port.ToString(CultureInfo.InvariantCulture), "--bind", "127.0.0.1", "--save", "", "--appendonly", "no", "--dir", Path.GetTempPath()]);
        await process.WaitForLine("Ready to accept connections", _startLimit, CancellationToken.None);
        return process;
    }
}
