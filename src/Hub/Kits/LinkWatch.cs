using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits;

/// <summary>Writes into sessions that their kit is out of reach: when it goes, and for every open session when the hub starts.</summary>
internal sealed class LinkWatch : IHostedService
{
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly KitSessions _sessions;
    private readonly CommitFollower _follower;

    public LinkWatch(SessionStore store, SessionRunner runner, KitSessions sessions, CommitFollower follower)
    {
        _store = store;
        _runner = runner;
        _sessions = sessions;
        _follower = follower;
    }

    /// <summary>Nobody is connected yet: before the first kit says hello, every open session has lost its link.</summary>
    public async Task StartAsync(CancellationToken cancellationToken)
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
}
