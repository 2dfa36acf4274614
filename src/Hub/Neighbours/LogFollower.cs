using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Neighbours;

/// <summary>Reads on in the log that hubs share: what another hub committed reaches the kits that are linked here, and whoever commands. Looks several times a second and whenever it is woken; as long as it cannot look, this hub allows no sound. One loop.</summary>
internal sealed partial class LogFollower(
    IServiceProvider services,
    IDbContextFactory<HubContext> contexts,
    HubSettings settings,
    HubClock clock,
    TimeProvider time,
    ILogger<LogFollower> log) : BackgroundService
{
    /// <summary>As often as a lease is renewed: a stop of another hub is then obeyed within two renewals also when no word of it arrives.</summary>
    private static readonly TimeSpan _between = TimeSpan.FromMilliseconds(Protocol.LeaseRenewalMs);

    private readonly SemaphoreSlim _woken = new(0, 1);
    private long _position;
    private long _kitPosition;
    private long _fleetVersion;

    /// <summary>Something was committed somewhere.</summary>
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

    public override async Task StartAsync(CancellationToken cancellationToken)
    {
        if (settings.IsShared)
        {
            // From here on, before any kit can link.
            await using var context = await contexts.CreateDbContextAsync(cancellationToken);
            _position = await context.SessionEvents.MaxAsync(row => (long?)row.Position, cancellationToken) ?? 0;
            _kitPosition = await context.KitFacts.MaxAsync(row => (long?)row.Position, cancellationToken) ?? 0;
            _fleetVersion = await FleetVersion(context, cancellationToken);
            clock.SawTheLog(time.GetTimestamp());
        }

        await base.StartAsync(cancellationToken);
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

        var failing = false;
        try
        {
            while (true)
            {
                await _woken.WaitAsync(_between, stoppingToken);
                var began = time.GetTimestamp();
                try
                {
                    await Look(stoppingToken);
                    clock.SawTheLog(began);
                    failing = false;
                }
                catch (Exception fault) when (StoreFaults.Is(fault))
                {
                    // Said once: it is asked again five times a second.
                    if (!failing)
                    {
                        Log.Failed(log, fault);
                    }

                    failing = true;
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is shutting down.
        }
    }

    private async Task Look(CancellationToken cancellationToken)
    {
        await using var context = await contexts.CreateDbContextAsync(cancellationToken);
        var rows = await (
            from happened in context.SessionEvents.AsNoTracking()
            where happened.Position > _position
            join session in context.Sessions.AsNoTracking() on happened.SessionId equals session.SessionId
            orderby happened.Position
            select new { happened.Position, happened.SessionId, happened.Sequence, happened.Kind, session.KitId }).ToListAsync(cancellationToken);
        foreach (var session in rows.GroupBy(row => (row.SessionId, row.KitId)))
        {
            await Follow(new SessionId(session.Key.SessionId), new KitId(session.Key.KitId), session.Max(row => row.Sequence), session.Any(row => MovesControl(row.Kind)), cancellationToken);
        }

        await LookAtFacts(context, cancellationToken);
        if (rows.Count > 0)
        {
            _position = rows[^1].Position;
            services.GetRequiredService<Broadcaster>().WakeHere();
        }
    }

    /// <summary>Who commands changes by these alone.</summary>
    private static bool MovesControl(string kind) => kind.StartsWith("control.", StringComparison.Ordinal) || kind.StartsWith("session.", StringComparison.Ordinal) || kind.StartsWith("stage.", StringComparison.Ordinal);

    private async Task Follow(SessionId sessionId, KitId kitId, long sequence, bool movesControl, CancellationToken cancellationToken)
    {
        var (links, leases) = (services.GetRequiredService<KitLinks>(), services.GetRequiredService<ControlLeases>());

        // What this hub committed itself was followed at once.
        if ((links.IsBehind(kitId, sessionId, sequence) || (movesControl && leases.IsBehind(sessionId, sequence)))
            && await services.GetRequiredService<SessionStore>().Load(sessionId, cancellationToken) is { Integrity.Valid: true } loaded)
        {
            links.CatchUp(loaded.State);
            leases.Follow(loaded.State);
        }
    }

    private async Task LookAtFacts(HubContext context, CancellationToken cancellationToken)
    {
        var broadcaster = services.GetRequiredService<Broadcaster>();
        var kits = await context.KitFacts.AsNoTracking().Where(row => row.Position > _kitPosition).Select(row => new { row.Position, row.KitId }).ToListAsync(cancellationToken);
        foreach (var kitId in kits.Select(row => row.KitId).Distinct())
        {
            broadcaster.KitChangedHere(new KitId(kitId));
        }

        _kitPosition = kits.Count > 0 ? kits.Max(row => row.Position) : _kitPosition;
        var fleet = await FleetVersion(context, cancellationToken);
        if (fleet != _fleetVersion)
        {
            _fleetVersion = fleet;
            broadcaster.FleetChangedHere();
        }
    }

    private static async Task<long> FleetVersion(HubContext context, CancellationToken cancellationToken) =>
        await context.FleetHeads.AsNoTracking().Where(row => row.Id == 1).Select(row => (long?)row.FactVersion).SingleOrDefaultAsync(cancellationToken) ?? 0;

    private static partial class Log
    {
        [LoggerMessage(EventId = 4301, Level = LogLevel.Error, Message = "The log that hubs share cannot be read; no sound is allowed until it can")]
        public static partial void Failed(ILogger logger, Exception fault);
    }
}
