using System.Collections.Concurrent;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>Numbers that may be used once: those of assertions and proofs, as long as they could be used again. Kept in memory; only what was signed with a kit's key gets here. Any thread.</summary>
internal sealed class SeenOnce(TimeProvider time)
{
    private static readonly TimeSpan _between = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<string, long> _until = new(StringComparer.Ordinal);
    private long _nextSweep = time.GetUtcNow().UtcTicks;

    /// <summary>Takes a number.</summary>
    /// <param name="number">The number with whose it is.</param>
    /// <param name="until">From then on it would be refused for its age.</param>
    /// <returns>False when it was taken before.</returns>
    public bool Take(string number, DateTimeOffset until)
    {
        Sweep();
        return _until.TryAdd(number, until.UtcTicks);
    }

    private void Sweep()
    {
        var (now, due) = (time.GetUtcNow().UtcTicks, Volatile.Read(ref _nextSweep));
        if (now < due || Interlocked.CompareExchange(ref _nextSweep, now + _between.Ticks, due) != due)
        {
            return;
        }

        foreach (var old in _until.Where(line => line.Value < now))
        {
            _until.TryRemove(old);
        }
    }
}
