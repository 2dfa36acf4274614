using System.Collections.Concurrent;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Storage;

/// <summary>Sessions as this process last verified or wrote them. Bounded: what was not asked for lately is let go. Any thread.</summary>
internal sealed class KnownSessions
{
    /// <summary>Sessions remembered: at least so many of those asked for last, and at most twice as many (design).</summary>
    private const int Kept = 1024;

    private readonly Lock _lock = new();
    private ConcurrentDictionary<SessionId, LoadedSession> _young = new();
    private ConcurrentDictionary<SessionId, LoadedSession> _old = new();

    /// <summary>The session as it is known; null when it is not.</summary>
    public LoadedSession? Find(SessionId sessionId)
    {
        if (_young.TryGetValue(sessionId, out var known))
        {
            return known;
        }

        if (!_old.TryGetValue(sessionId, out known))
        {
            return null;
        }

        Keep(known);
        return known;
    }

    /// <summary>Lets go of a session.</summary>
    public void Forget(SessionId sessionId)
    {
        _young.TryRemove(sessionId, out _);
        _old.TryRemove(sessionId, out _);
    }

    /// <summary>Keeps a session, unless a newer picture of it is kept.</summary>
    public void Keep(LoadedSession session)
    {
        _young.AddOrUpdate(
            session.State.SessionId,
            session,
            (_, known) => known.State.Version > session.State.Version || (known.State.Version == session.State.Version && known.Seen > session.Seen) ? known : session);
        if (_young.Count > Kept)
        {
            lock (_lock)
            {
                if (_young.Count > Kept)
                {
                    (_old, _young) = (_young, new ConcurrentDictionary<SessionId, LoadedSession>());
                }
            }
        }
    }
}
