using System.Globalization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Neighbours;

/// <summary>Says every second that this hub runs, keeps the clock it shares with the others, sees where kits are, and takes over what hubs left behind that are gone. One loop.</summary>
internal sealed partial class NeighbourWatch(
    IServiceProvider services,
    IDbContextFactory<HubContext> contexts,
    HubSettings settings,
    HubClock clock,
    SharedKits kits,
    SharedConsoles consoles,
    TimeProvider time,
    ILogger<NeighbourWatch> log) : BackgroundService
{
    /// <summary>A hub not heard for this long is gone: three of its words were missed. Its kits and consoles have long come elsewhere by themselves.</summary>
    public static readonly TimeSpan GoneAfter = TimeSpan.FromSeconds(4);

    private static readonly TimeSpan _between = TimeSpan.FromSeconds(1);

    /// <summary>A measurement of the database's clock that took longer says too little.</summary>
    private static readonly TimeSpan _quick = TimeSpan.FromMilliseconds(50);

    /// <summary>How long a measurement serves: two clocks of good machines part by a few ms in that time (50 ppm, common practice).</summary>
    private static readonly TimeSpan _stale = TimeSpan.FromMinutes(1);

    /// <summary>What people call this hub.</summary>
    public static string OwnName { get; } = string.Create(CultureInfo.InvariantCulture, $"{Environment.MachineName} {Environment.ProcessId}");

    /// <summary>Version of this program.</summary>
    public static string OwnVersion { get; } = typeof(NeighbourWatch).Assembly.GetName().Version?.ToString(3) ?? "0";

    private readonly SemaphoreSlim _woken = new(0, 1);
    private long? _clockAt;

    /// <summary>Other hubs that run.</summary>
    public IReadOnlyList<RunningHubRow> Others { get; private set; } = [];

    /// <summary>Looks now where kits are.</summary>
    public void Wake()
    {
        try
        {
            _woken.Release();
        }
        catch (SemaphoreFullException)
        {
            // It is awake.
        }
    }

    /// <exception cref="InvalidOperationException">Another hub runs on the database, and there is no wire between them.</exception>
    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        if (settings.IsShared)
        {
            await Beat(first: true, cancellationToken);
            if (settings.Redis is null && Others.Count > 0)
            {
                await Leave();
                throw new InvalidOperationException($"{Others[0].Name} serves this database already, and more than one hub need Redis between them: name it in {HubSettings.RedisVariable}. Nothing was started.");
            }

            await kits.Look(cancellationToken);
        }

        await base.StartAsync(cancellationToken);
    }

    public override async Task StopAsync(CancellationToken cancellationToken)
    {
        await base.StopAsync(cancellationToken);
        if (settings.IsShared)
        {
            try
            {
                await Leave();
            }
            catch (Exception fault) when (StoreFaults.Is(fault))
            {
                // The others find out by themselves.
                Log.Failed(log, fault);
            }
        }
    }

    public override void Dispose()
    {
        _woken.Dispose();
        base.Dispose();
    }

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        if (!settings.IsShared)
        {
            return;
        }

        try
        {
            while (!stoppingToken.IsCancellationRequested)
            {
                await Task.WhenAny(_woken.WaitAsync(stoppingToken), Task.Delay(_between, time, stoppingToken));
                stoppingToken.ThrowIfCancellationRequested();
                try
                {
                    await Beat(first: false, stoppingToken);
                    await Look(stoppingToken);
                }
                catch (Exception fault) when (StoreFaults.Is(fault))
                {
                    Log.Failed(log, fault);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is shutting down.
        }
    }

    private async Task Beat(bool first, CancellationToken cancellationToken)
    {
        var figures = first ? "{}" : services.GetRequiredService<HubFigures>().Json();
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        await context.Database.OpenConnectionAsync(cancellationToken);
        await using var command = KeyDatabase.Command(
            context.Database.GetDbConnection(),
            """
            WITH now AS (SELECT (EXTRACT(EPOCH FROM clock_timestamp()) * 10000000)::bigint + 621355968000000000 AS ticks)
            INSERT INTO running_hubs ("HubId", "Name", "Version", "StartedTicks", "SeenTicks", "Figures") SELECT @hub, @name, @version, ticks, ticks, @figures FROM now
            ON CONFLICT ("HubId") DO UPDATE SET "SeenTicks" = EXCLUDED."SeenTicks", "Figures" = EXCLUDED."Figures"
            RETURNING "SeenTicks", (xmax = 0)
            """,
            ("@hub", clock.RunId),
            ("@name", OwnName),
            ("@version", OwnVersion),
            ("@figures", figures));
        long now;
        bool entered;
        var began = time.GetTimestamp();
        await using (var reader = await command.ExecuteReaderAsync(cancellationToken))
        {
            await reader.ReadAsync(cancellationToken);
            (now, entered) = (reader.GetInt64(0), reader.GetBoolean(1));
        }

        SetClock(began, time.GetTimestamp(), now);
        var silent = now - GoneAfter.Ticks;
        await context.RunningHubs.Where(row => row.SeenTicks < silent).ExecuteDeleteAsync(cancellationToken);
        Others = await context.RunningHubs.AsNoTracking().Where(row => row.HubId != clock.RunId).OrderBy(row => row.StartedTicks).ToListAsync(cancellationToken);
        if (entered && !first)
        {
            // The others counted this hub as gone: its kits may be theirs, and whoever is still linked here comes anew.
            Log.Missed(log);
            services.GetRequiredService<KitLinks>().CloseAll();
            foreach (var (connectionId, console) in services.GetRequiredService<LivePeople>().ByConnection)
            {
                await consoles.Came(connectionId, console.PersonId);
            }
        }
    }

    private void SetClock(long began, long ended, long databaseTicks)
    {
        var took = time.GetElapsedTime(began, ended);
        if (took <= _quick || _clockAt is not { } last || time.GetElapsedTime(last) > _stale)
        {
            _clockAt = ended;
            clock.SetShared(new DateTimeOffset(databaseTicks, TimeSpan.Zero), began + ((ended - began) / 2));
        }
    }

    private async Task Look(CancellationToken cancellationToken)
    {
        foreach (var (kitId, connectionId) in await kits.Orphans(cancellationToken))
        {
            await TakeOver(kitId, connectionId, cancellationToken);
        }

        await consoles.BuryOrphans(cancellationToken);
        var (changed, here) = await kits.Look(cancellationToken);
        foreach (var (kitId, connectionId) in services.GetRequiredService<KitLinks>().CloseAllBut(here))
        {
            // It ended while the store could not be told.
            await TakeOver(kitId, connectionId, cancellationToken);
        }

        foreach (var kitId in changed)
        {
            services.GetRequiredService<Broadcaster>().KitChangedHere(kitId);
        }
    }

    private async Task TakeOver(KitId kitId, string connectionId, CancellationToken cancellationToken)
    {
        var lost = services.GetRequiredService<LinkWatch>();
        var sessions = services.GetRequiredService<KitSessions>();
        await services.GetRequiredService<PresenceGate>().Alone(
            kitId,
            async () =>
            {
                if (!await kits.Bury(kitId, connectionId, cancellationToken))
                {
                    return false;
                }

                Log.Left(log, kitId);
                if (await sessions.FindOpen(kitId, cancellationToken) is { } sessionId)
                {
                    await lost.MarkLost(sessionId, cancellationToken);
                }

                services.GetRequiredService<Broadcaster>().KitChanged(kitId);
                return true;
            },
            cancellationToken);
    }

    private async Task Leave()
    {
        await using var context = await contexts.CreateDbContextAsync(CancellationToken.None);
        await context.RunningHubs.Where(row => row.HubId == clock.RunId).ExecuteDeleteAsync(CancellationToken.None);
        await context.LiveConsoles.Where(row => row.HubId == clock.RunId).ExecuteDeleteAsync(CancellationToken.None);
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 4201, Level = LogLevel.Error, Message = "The store that hubs share could not be asked; no sound is allowed until it can")]
        public static partial void Failed(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 4202, Level = LogLevel.Warning, Message = "The other hubs counted this one as gone; its kits link anew")]
        public static partial void Missed(ILogger logger);

        [LoggerMessage(EventId = 4203, Level = LogLevel.Warning, Message = "Kit {KitId} was linked to a hub that is gone, and is out of reach")]
        public static partial void Left(ILogger logger, KitId kitId);
    }
}
