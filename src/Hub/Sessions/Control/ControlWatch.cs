using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Ends loans of control whose time is over, and takes control from whoever is silent for longer than its life. One loop.</summary>
internal sealed partial class ControlWatch(
    ControlLeases leases,
    KitSessions sessions,
    SessionStore store,
    SessionRunner runner,
    CommitFollower follower,
    HubSettings settings,
    TimeProvider time,
    ILogger<ControlWatch> log) : BackgroundService
{
    private static readonly TimeSpan _look = TimeSpan.FromSeconds(1);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        using var timer = new PeriodicTimer(_look, time);
        try
        {
            foreach (var sessionId in await sessions.AllOpen(stoppingToken))
            {
                if (await store.Load(sessionId, stoppingToken) is { } loaded)
                {
                    leases.Follow(loaded.State);
                }
            }

            while (await timer.WaitForNextTickAsync(stoppingToken))
            {
                foreach (var (sessionId, epoch) in leases.Due(settings.ControlLife))
                {
                    await End(sessionId, epoch, stoppingToken);
                }
            }
        }
        catch (OperationCanceledException)
        {
            // The hub is shutting down.
        }
    }

    private async Task End(SessionId sessionId, int epoch, CancellationToken cancellationToken)
    {
        try
        {
            await leases.AskOthers(sessionId, cancellationToken);
            await runner.Run(token => Decide(sessionId, epoch, token), _ => Task.FromResult(true), cancellationToken);
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            // The next look tries again; until then nothing of the old holder is worse than before.
            Log.NotEnded(log, fault, sessionId);
        }
    }

    private async Task<Attempt<bool>> Decide(SessionId sessionId, int epoch, CancellationToken cancellationToken)
    {
        if (await store.Load(sessionId, cancellationToken) is not { Integrity.Valid: true } loaded)
        {
            return new Attempt<bool>(null, false);
        }

        var facts = await runner.Facts(loaded, cancellationToken);
        return ControlDecider.Due(loaded.State, epoch, leases.SilentFor(sessionId, epoch), settings.ControlLife, facts) is { } due
            ? new Attempt<bool>(new AppendBatch([new SessionAppend(loaded, due.Events)], null, null, after => follower.Follow(after, due.Effects)), true)
            : new Attempt<bool>(null, false);
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 3101, Level = LogLevel.Error, Message = "Control of session {SessionId} could not be ended; trying again")]
        public static partial void NotEnded(ILogger logger, Exception fault, SessionId sessionId);
    }
}
