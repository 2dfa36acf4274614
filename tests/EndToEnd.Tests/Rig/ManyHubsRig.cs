using System.Globalization;
using Microsoft.Extensions.DependencyInjection;
using Npgsql;
using TeleHearing.Contracts;
using TeleHearing.Hub.Cli.Clinician;
using TeleHearing.Hub.Cli.Demo;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Testing;

namespace TeleHearing.EndToEnd.Tests.Rig;

/// <summary>Two hubs as processes of their own with PostgreSQL, Redis and a proxy, put together as docs/operations/scale.md says.</summary>
internal sealed class ManyHubsRig : IAsyncDisposable
{
    private const string Recipe = "docs/operations/scale/nginx.conf";

    private readonly TempFolder _folder = new();
    private readonly string _database;
    private readonly int[] _ports = [FreePorts.Take(), FreePorts.Take()];
    private readonly RealProcess[] _hubs;
    private readonly List<string> _ended = [];
    private readonly int _port = FreePorts.Take();
    private readonly string _clinician;
    private RealProcess? _proxy;

    private ManyHubsRig(PostgresServer postgres, RedisServer redis, string database, string clinician, SessionId session, string enrolmentCode)
    {
        (Postgres, Redis, _database, _clinician) = (postgres, redis, database, clinician);
        (Session, EnrolmentCode) = (session, enrolmentCode);
        _hubs = new RealProcess[_ports.Length];
    }

    /// <summary>The database.</summary>
    public PostgresServer Postgres { get; }

    /// <summary>What one hub tells the others through.</summary>
    public RedisServer Redis { get; }

    /// <summary>The planned session.</summary>
    public SessionId Session { get; }

    /// <summary>One-time code for the kit.</summary>
    public string EnrolmentCode { get; }

    /// <summary>Address of the proxy.</summary>
    public Uri Address => new(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{_port}"));

    /// <summary>What the hubs wrote.</summary>
    public string Text => string.Join("\n", _ended.Concat(_hubs.Select(hub => hub.Text())));

    /// <summary>Their processes.</summary>
    public IReadOnlyList<RealProcess> Hubs => _hubs;

    /// <summary>Brings everything up with an invented clinic.</summary>
    public static async Task<ManyHubsRig> Start(CancellationToken cancellationToken)
    {
        var postgres = await PostgresServer.Start(syncs: true);
        var redis = await RedisServer.Start();
        var database = await postgres.Database();
        using var seedFolder = new TempFolder();
        var key = seedFolder.Inside("hubs.key");
        var secret = System.Security.Cryptography.RandomNumberGenerator.GetBytes(32);
        await File.WriteAllBytesAsync(key, secret, cancellationToken);
        ManyHubsRig rig;
        await using (var seeding = HubHost.Build(new HubSettings { DataFolder = seedFolder.Inside("seed"), Database = database, KeyFile = key, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false }))
        {
            var clinic = new InventedClinic(seeding.Services);
            var people = await clinic.EnterClinic(cancellationToken);
            var session = await clinic.PlanOne(people, cancellationToken);
            rig = new ManyHubsRig(postgres, redis, database, await seeding.Services.GetRequiredService<SignInLinks>().Issue(people.Clinician, cancellationToken), session, await seeding.Services.GetRequiredService<KitFleet>().IssueEnrolmentCode(InventedClinic.Kit, cancellationToken));
        }

        await File.WriteAllBytesAsync(rig._folder.Inside("hubs.key"), secret, cancellationToken);
        for (var hub = 0; hub < rig._hubs.Length; hub++)
        {
            rig._hubs[hub] = rig.Hub(rig._ports[hub]);
        }

        foreach (var hub in rig._hubs)
        {
            await hub.WaitForLine("console:", Limits.Start, cancellationToken);
        }

        rig._proxy = await rig.Proxy(cancellationToken);
        return rig;
    }

    /// <summary>Signs the clinician in through the proxy and watches the session.</summary>
    public async Task<ConsoleLink> SignIn(CancellationToken cancellationToken)
    {
        var link = new ConsoleLink(Address, TimeProvider.System);
        await link.SignIn(new Uri(Address, _clinician), cancellationToken);
        Assert.Null(await link.Watch(Session, cancellationToken));
        return link;
    }

    /// <summary>The process of the hub that the kit is linked to.</summary>
    public async Task<RealProcess> HubOfTheKit(CancellationToken cancellationToken)
    {
        await using var connection = new NpgsqlConnection(_database);
        await connection.OpenAsync(cancellationToken);
        await using var command = new NpgsqlCommand("""SELECT "Name" FROM running_hubs JOIN kit_links USING ("HubId")""", connection);
        var name = (string)(await command.ExecuteScalarAsync(cancellationToken) ?? throw new InvalidOperationException("The kit is linked to no hub."));
        return _hubs.Single(hub => hub.Id == int.Parse(name.Split(' ')[^1], CultureInfo.InvariantCulture));
    }

    /// <summary>Starts a hub again that has ended, and waits until it serves.</summary>
    public async Task StartAgain(RealProcess ended, CancellationToken cancellationToken)
    {
        var hub = Array.IndexOf(_hubs, ended);
        await ended.WaitForExit(Limits.End, cancellationToken);
        _ended.Add(ended.Text());
        await ended.DisposeAsync();
        _hubs[hub] = Hub(_ports[hub]);
        await _hubs[hub].WaitForLine("console:", Limits.Start, cancellationToken);
    }

    /// <summary>Whether a hub says that it is ready.</summary>
    public async Task<bool> IsReady(RealProcess hub, CancellationToken cancellationToken)
    {
        using var http = new HttpClient { BaseAddress = new Uri(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{_ports[Array.IndexOf(_hubs, hub)]}")) };
        using var answer = await http.GetAsync("/health/ready", cancellationToken);
        return answer.IsSuccessStatusCode;
    }

    public async ValueTask DisposeAsync()
    {
        foreach (var process in _hubs.Append(_proxy!).Where(process => process is not null))
        {
            await process.DisposeAsync();
        }

        await Redis.DisposeAsync();
        await Postgres.DisposeAsync();
        _folder.Dispose();
    }

    private RealProcess Hub(int port) => RealProcess.Start(
        "env",
        [
            $"{HubSettings.DatabaseVariable}={_database}", $"{HubSettings.RedisVariable}={Redis.Connection}", $"{HubSettings.KeyFileVariable}={_folder.Inside("hubs.key")}", $"{HubSettings.SharedFolderVariable}={_folder.Inside("shared")}",
            "dotnet", BuiltPrograms.Hub, "serve", "--data", _folder.Inside(port.ToString(CultureInfo.InvariantCulture)), "--urls", string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}"),
        ]);

    /// <summary>The proxy of the recipe, on free ports of loopback and without the certificate.</summary>
    private async Task<RealProcess> Proxy(CancellationToken cancellationToken)
    {
        var recipe = await File.ReadAllLinesAsync(Path.Combine(RepositoryFolder(), Recipe), cancellationToken);
        var lines = recipe.Where(line => !line.TrimStart().StartsWith("ssl_", StringComparison.Ordinal)).Select(line => line
            .Replace("listen 443 ssl", string.Create(CultureInfo.InvariantCulture, $"listen 127.0.0.1:{_port}"), StringComparison.Ordinal)
            .Replace("127.0.0.1:5081", string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{_ports[0]}"), StringComparison.Ordinal)
            .Replace("127.0.0.1:5082", string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{_ports[1]}"), StringComparison.Ordinal)
            .Replace("http {", $"http {{ access_log off; {string.Join(' ', new[] { "client_body", "proxy", "fastcgi", "uwsgi", "scgi" }.Select(kind => $"{kind}_temp_path {_folder.Inside(kind)};"))}", StringComparison.Ordinal));
        var file = _folder.Inside("nginx.conf");
        await File.WriteAllLinesAsync(file, lines, cancellationToken);
        var proxy = RealProcess.Start("/usr/sbin/nginx", ["-c", file, "-p", _folder.Path, "-e", "stderr", "-g", $"daemon off; pid {_folder.Inside("nginx.pid")};"]);
        using var http = new HttpClient { BaseAddress = Address };
        var limit = TimeProvider.System.GetTimestamp();
        while (!await Answers(http, cancellationToken))
        {
            Assert.True(!proxy.HasExited && TimeProvider.System.GetElapsedTime(limit) < Limits.Start, proxy.Text());
        }

        return proxy;
    }

    private static async Task<bool> Answers(HttpClient http, CancellationToken cancellationToken)
    {
        try
        {
            using var answer = await http.GetAsync("/health", cancellationToken);
            return answer.IsSuccessStatusCode;
        }
        catch (HttpRequestException)
        {
            return false;
        }
    }

    private static string RepositoryFolder()
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (!File.Exists(Path.Combine(folder.FullName, "TeleHearing.sln")))
        {
            folder = folder.Parent ?? throw new DirectoryNotFoundException("The tests do not run inside the repository.");
        }

        return folder.FullName;
    }
}
