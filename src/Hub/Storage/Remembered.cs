using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Storage;

/// <summary>Something read from the store, kept for as long as nothing was written that it could show. Where the database does not tell of others it is read each time. Any thread.</summary>
/// <typeparam name="T">What is read; never changed by whoever gets it.</typeparam>
/// <param name="log">Says whether anything was written.</param>
/// <param name="keeps">Whether what was read may be kept; what does not hold is read and verified each time, so that it is known at once when it is put right.</param>
internal sealed class Remembered<T>(IEventLog log, Func<T, bool> keeps)
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
        _kept = mark is { } now && keeps(value) ? new Kept(now, value) : null;
        return value;
    }

    /// <summary>Lets go of it: what was read does not hold.</summary>
    public void Forget() => _kept = null;

    private sealed record Kept(StoreMark Mark, T Value);
}
