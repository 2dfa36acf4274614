using System.Collections.Concurrent;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Control;

/// <summary>Who commands which session, and when their console was last heard. Kept in memory alone: after a start of the hub everyone has a whole life of control again. Any thread.</summary>
internal sealed class ControlLeases(TimeProvider time)
{
    private readonly ConcurrentDictionary<SessionId, Lease> _leases = new();

    /// <summary>Takes over what a session's events come to. An older state than the one known changes nothing.</summary>
    public void Follow(SessionState state)
    {
        var holder = Stages.IsOpen(state.Stage) ? state.Holder?.Id : null;
        var now = time.GetTimestamp();
        _leases.AddOrUpdate(
            state.SessionId,
            _ => new Lease(state.Version, state.Epoch, holder, state.Control.Loan?.Until, now),
            (_, known) => known.Version >= state.Version ? known
                : new Lease(state.Version, state.Epoch, holder, state.Control.Loan?.Until, known.Epoch == state.Epoch && known.HolderId == holder ? known.HeardAt : now) { SignInId = known.HolderId == holder ? known.SignInId : null });
        if (Stages.IsOver(state.Stage))
        {
            _leases.TryRemove(state.SessionId, out _);
        }
    }

    /// <summary>The console at which the person commands the session was heard. Nothing happens unless they command it.</summary>
    public void Renew(SessionId sessionId, PersonCaller person)
    {
        if (_leases.TryGetValue(sessionId, out var lease) && lease.HolderId == person.Id)
        {
            _leases.TryUpdate(sessionId, lease with { HeardAt = time.GetTimestamp(), SignInId = person.SignInId }, lease);
        }
    }

    /// <summary>A covered console was heard, which shows no session. It stays in command of what was commanded there last: another console of the same person keeps nothing alive whose own has died.</summary>
    public void StayIn(SessionId sessionId, PersonCaller person)
    {
        if (_leases.TryGetValue(sessionId, out var lease) && lease.HolderId == person.Id && lease.SignInId is { } signIn && signIn == person.SignInId)
        {
            _leases.TryUpdate(sessionId, lease with { HeardAt = time.GetTimestamp() }, lease);
        }
    }

    /// <summary>Sessions of which a task is lent to a person.</summary>
    public IReadOnlyList<SessionId> LentTo(string personId) => [.. _leases.Where(pair => pair.Value.HolderId == personId && pair.Value.Until is not null).Select(pair => pair.Key)];

    /// <summary>The person's consoles were closed: what they command lapses with the next look, not only after the life of control.</summary>
    /// <param name="personId">Who.</param>
    /// <param name="life">Life of control.</param>
    public void Forget(string personId, TimeSpan life)
    {
        var longAgo = time.GetTimestamp() - (long)((life.TotalSeconds + 1) * time.TimestampFrequency);
        foreach (var (sessionId, lease) in _leases)
        {
            if (lease.HolderId == personId)
            {
                _leases.TryUpdate(sessionId, lease with { HeardAt = longAgo }, lease);
            }
        }
    }

    /// <summary>How long the holder of an epoch has not been heard; zero when somebody else has come.</summary>
    public TimeSpan SilentFor(SessionId sessionId, int epoch) =>
        _leases.TryGetValue(sessionId, out var lease) && lease.Epoch == epoch ? time.GetElapsedTime(lease.HeardAt) : TimeSpan.Zero;

    /// <summary>Sessions whose holder is silent for longer than this, or whose loan is over.</summary>
    public IReadOnlyList<(SessionId SessionId, int Epoch)> Due(TimeSpan life)
    {
        var now = time.GetUtcNow();
        return
        [
            .. _leases
                .Where(pair => pair.Value.HolderId is not null && (time.GetElapsedTime(pair.Value.HeardAt) > life || pair.Value.Until <= now))
                .Select(pair => (pair.Key, pair.Value.Epoch)),
        ];
    }

    private sealed record Lease(long Version, int Epoch, string? HolderId, DateTimeOffset? Until, long HeardAt)
    {
        /// <summary>The sign-in at which the holder was last heard; absent until they were.</summary>
        public string? SignInId { get; init; }
    }
}
