using System.Diagnostics;
using System.Globalization;

namespace TeleHearing.Testing;

/// <summary>A PostgreSQL server of the tests' own: a temporary folder, a free port on loopback, ended with the test process. Debian's package <c>postgresql</c>, installed by <c>tests/all.sh</c>.</summary>
public sealed class PostgresServer : IAsyncDisposable
{
    private const string Account = "postgres";

    private static readonly TimeSpan _startLimit = TimeSpan.FromSeconds(60);
    private static readonly Lazy<Task<PostgresServer>> _one = new(() => Start(syncs: false));

    private readonly string _folder;
    private readonly bool _syncs;
    private RealProcess _process;
    private int _databases;

    private PostgresServer(string folder, int port, bool syncs, RealProcess process)
    {
        (_folder, Port, _syncs, _process) = (folder, port, syncs, process);
        AppDomain.CurrentDomain.ProcessExit += Ended;
    }

    /// <summary>Port it listens on.</summary>
    public int Port { get; }

    /// <summary>One for all tests of this process that need no power cut; it does not wait for the disk.</summary>
    public static Task<PostgresServer> One => _one.Value;

    /// <summary>Starts one.</summary>
    /// <param name="syncs">Whether it waits for the disk at every commit, as a server in service must.</param>
    public static async Task<PostgresServer> Start(bool syncs)
    {
        var folder = Path.Combine(Path.GetTempPath(), $"telehearing-postgres-{Guid.NewGuid():N}");
        Directory.CreateDirectory(folder);
        if (IsRoot)
        {
            await Done("chown", [Account, folder]);
        }

        var data = Path.Combine(folder, "data");
        await Done(As(), [.. AsArguments(), Program("initdb"), "-D", data, "-U", Account, "--auth=trust", "--encoding=UTF8", "--locale=C.UTF-8", "--no-sync"]);
        var port = FreePorts.Take();
        return new PostgresServer(folder, port, syncs, await Run(folder, port, syncs));
    }

    /// <summary>Ends it as a crash does: nobody is asked, nothing is finished, and the next start recovers (SIGQUIT, an immediate shutdown).</summary>
    public async Task Fail()
    {
        _process.Quit();
        await _process.WaitForExit(_startLimit, CancellationToken.None);
        await _process.DisposeAsync();
    }

    /// <summary>Starts it again after <see cref="Fail"/>, on the same port.</summary>
    public async Task StartAgain() => _process = await Run(_folder, Port, _syncs);

    /// <summary>Makes an empty database.</summary>
    /// <returns>How to connect to it.</returns>
    public async Task<string> Database()
    {
        var name = string.Create(CultureInfo.InvariantCulture, $"test_{Interlocked.Increment(ref _databases)}");
        await Done(Program("createdb"), ["-h", "127.0.0.1", "-p", Port.ToString(CultureInfo.InvariantCulture), "-U", Account, name]);
        return string.Create(CultureInfo.InvariantCulture, $"Host=127.0.0.1;Port={Port};Username={Account};Database={name};Maximum Pool Size=20");
    }

    /// <inheritdoc />
    public async ValueTask DisposeAsync()
    {
        AppDomain.CurrentDomain.ProcessExit -= Ended;
        await _process.DisposeAsync();
        Directory.Delete(_folder, recursive: true);
    }

    private static async Task<RealProcess> Run(string folder, int port, bool syncs)
    {
        var process = RealProcess.Start(As(), [.. AsArguments(), Program("postgres"), "-D", Path.Combine(folder, "data"), "-h", "127.0.0.1", "-p", port.ToString(CultureInfo.InvariantCulture), "-k", folder, "-c", syncs ? "fsync=on" : "fsync=off", "-c", "max_connections=200"]);
        await process.WaitForLine("database system is ready to accept connections", _startLimit, CancellationToken.None);
        return process;
    }

    private static bool IsRoot => Environment.UserName == "root";

    // A server refuses to run as root.
    private static string As() => IsRoot ? "setpriv" : "env";

    private static string[] AsArguments() => IsRoot ? [$"--reuid={Account}", $"--regid={Account}", "--clear-groups"] : [];

    private static string Program(string name) =>
        Directory.GetDirectories("/usr/lib/postgresql").OrderByDescending(version => int.Parse(Path.GetFileName(version), CultureInfo.InvariantCulture))
            .Select(version => Path.Combine(version, "bin", name)).First(File.Exists);

    private static async Task Done(string program, IEnumerable<string> arguments)
    {
        await using var process = RealProcess.Start(program, arguments);
        if (await process.WaitForExit(_startLimit, CancellationToken.None) is not 0 and var code)
        {
            throw new InvalidOperationException($"{program} ended with {code}.\n{process.Text()}");
        }
    }

    private void Ended(object? sender, EventArgs e)
    {
        using (var server = Process.GetProcessById(_process.Id))
        {
            server.Kill(entireProcessTree: true);
            server.WaitForExit();
        }

        Directory.Delete(_folder, recursive: true);
    }
}
