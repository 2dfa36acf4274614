namespace TeleHearing.Hub.Storage.Log;

/// <summary>Where the sessions end that this writer appended to, for as long as nobody else writes. One group at a time, as its writer.</summary>
/// <remarks>What is remembered saves a question; that a number is given once is held by the key (session, sequence) as before.</remarks>
/// <param name="knows">Whether the database says when somebody else wrote; otherwise nothing is remembered.</param>
internal sealed class LogHeads(bool knows)
{
    /// <summary>Sessions remembered (design); beyond that all are asked for once more.</summary>
    private const int Most = 4096;

    private readonly Dictionary<Guid, (long Version, byte[]? Hash)> _heads = [];
    private long _seen;

    /// <summary>The last event of a session; null when it has to be asked for.</summary>
    /// <param name="sessionId">The session.</param>
    /// <param name="seen">Number of the last change by somebody else.</param>
    public (long Version, byte[]? Hash)? Find(Guid sessionId, long seen) => seen == _seen && _heads.TryGetValue(sessionId, out var head) ? head : null;

    /// <summary>Remembers the last event of a session.</summary>
    public void Keep(Guid sessionId, SessionEventRow last, long seen)
    {
        if (!knows)
        {
            return;
        }

        if (seen != _seen || _heads.Count >= Most)
        {
            _heads.Clear();
            _seen = seen;
        }

        _heads[sessionId] = (last.Sequence, last.Hash);
    }
}
