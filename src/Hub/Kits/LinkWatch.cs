using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits;

/// <summary>Writes into sessions that their kit is out of reach: when it goes, and for every open session when the hub starts.</summary>
internal sealed partial class LinkWatch : IHostedService
{
    /// <summary>How long a start waits before it asks a store that failed again.</summary>
    private static readonly TimeSpan _again = TimeSpan.FromSeconds(1);

    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly KitSessions _sessions;
    private readonly CommitFollower _follower;
    private readonly TimeProvider _time;
    private readonly ILogger<LinkWatch> _log;

    public LinkWatch(SessionStore store, SessionRunner runner, KitSessions sessions, CommitFollower follower, TimeProvider time, ILogger<LinkWatch> log)
    {
        (_time, _log) = (time, log);
        _store = store;
        _runner = runner;
        _sessions = sessions;
        _follower = follower;
    }

    /// <summary>Nobody is connected yet: before the first kit says hello, every open session has lost its link. While the store fails the hub takes no connection, and tries again.</summary>
    public async Task StartAsync(CancellationToken cancellationToken)
    {
        while (true)
        {
            try
            {
                await MarkAllLost(cancellationToken);
                return;
            }
            catch (Exception fault) when (StoreFaults.Is(fault))
            {
                Log.StoreFails(_log, fault);
                await Task.Delay(_again, _time, cancellationToken);
            }
        }
    }

    private async Task MarkAllLost(CancellationToken cancellationToken)
    {
        foreach (var sessionId in await _sessions.AllOpen(cancellationToken))
        {
            // While the hub was down nobody watched: the gap is counted from the last event that was written, which is never too short.
            await _runner.Run(token => Decide(sessionId, fromLastEvent: true, token), _ => Task.FromResult(true), cancellationToken);
        }
    }

    public Task StopAsync(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task MarkLost(SessionId sessionId, CancellationToken cancellationToken) =>
        _runner.Run(token => Decide(sessionId, fromLastEvent: false, token), _ => Task.FromResult(true), cancellationToken);

    private async Task<Attempt<bool>> Decide(SessionId sessionId, bool fromLastEvent, CancellationToken cancellationToken)
    {
        var loaded = await _store.Load(sessionId, cancellationToken);
        if (loaded is not { Integrity.Valid: true })
        {
            return new Attempt<bool>(null, false);
        }

        DateTimeOffset? since = fromLastEvent && loaded.State.History is [.., var last] ? last.At : null;
        var events = LinkDecider.Lost(loaded.State, await _runner.Facts(loaded, cancellationToken), since);
        return events.Count == 0
            ? new Attempt<bool>(null, true)
            : new Attempt<bool>(new AppendBatch([new SessionAppend(loaded, events)], null, null, after => _follower.Follow(after, [])), true);
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2106, Level = LogLevel.Error, Message = "The store fails while the hub starts. No connection is taken until it answers; it is asked again every second")]
        public static partial void StoreFails(ILogger logger, Exception fault);
    }
}
