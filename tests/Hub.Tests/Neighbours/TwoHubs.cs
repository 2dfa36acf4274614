using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Testing;

namespace TeleHearing.Hub.Tests.Neighbours;

/// <summary>Two hubs with one database and Redis between them, as they would stand on two machines.</summary>
internal sealed class TwoHubs : IAsyncDisposable
{
    private readonly RedisServer _redis;
    private readonly TempFolder _files;

    private TwoHubs(RedisServer redis, TempFolder files, RunningHub first, RunningHub second) => (_redis, _files, First, Second) = (redis, files, first, second);

    public RunningHub First { get; }

    public RunningHub Second { get; }

    public static async Task<TwoHubs> Start()
    {
        var redis = await RedisServer.Start();
        var files = new TempFolder();
        var change = await Settings(files, redis.Connection);
        return new TwoHubs(redis, files, await RunningHub.Start(change: change), await RunningHub.Start(change: change));
    }

    /// <summary>Settings of hubs on one new database.</summary>
    public static async Task<Func<HubSettings, HubSettings>> Settings(TempFolder files, string? redis)
    {
        var key = files.Inside("hub.key");
        await File.WriteAllBytesAsync(key, [.. Enumerable.Range(0, 32).Select(number => (byte)number)], TestContext.Current.CancellationToken);
        var database = await (await PostgresServer.One).Database();
        return settings => settings with { Database = database, Redis = redis, KeyFile = key, SharedFolder = files.Path };
    }

    public async ValueTask DisposeAsync()
    {
        await First.DisposeAsync();
        await Second.DisposeAsync();
        await _redis.DisposeAsync();
        _files.Dispose();
    }
}
