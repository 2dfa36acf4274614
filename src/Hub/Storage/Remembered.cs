using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Storage;

/// <summary>Something read from the store, kept for as long as nothing was written that it could show. Where the database does not tell of others it is read each time. Any thread.</summary>
/// <typeparam name="T">What is read; never changed by whoever gets it.</typeparam>
internal sealed class Remembered<T>(IEventLog log)
    where T : class?
{
    // Replaced as a whole, so any thread may read it.
    private volatile Kept? _kept;

    /// <summary>What was kept, or what is read now.</summary>
    public async Task<T> Get(Func<CancellationToken, Task<T>> read, CancellationToken cancellationToken)
    {
        // Asked before it is read: what is written in between is then read again rather than missed.
        var mark = await log.Look(cancellationToken);
        if (mark is not null && _kept is { } kept && kept.Mark == mark)
        {
            return kept.Value;
        }

        var value = await read(cancellationToken);
        _kept = mark is { } now ? new Kept(now, value) : null;
        return value;
    }

    /// <summary>Lets go of it: what was read does not hold.</summary>
    public void Forget() => _kept = null;

    private sealed record Kept(StoreMark Mark, T Value);
}
