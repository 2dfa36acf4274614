using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits;

/// <summary>The hub's running time: monotonic, counted from its start, so that no wall clock has to be right. Any thread.</summary>
internal sealed class HubClock
{
    private readonly TimeProvider _time;
    private readonly long _start;
    private long _lastLease;
    private long _sawTheLogAt = long.MinValue;
    private Anchor? _anchor;

    public HubClock(TimeProvider time)
    {
        _time = time;
        _start = time.GetTimestamp();
    }

    /// <summary>Changes with every start of the hub.</summary>
    public Guid RunId { get; } = Guid.CreateVersion7();

    /// <summary>Running time in ms.</summary>
    public long RunningMs => (long)_time.GetElapsedTime(_start).TotalMilliseconds;

    /// <summary>Time as all hubs on one database know it; of a hub that is alone its own.</summary>
    public DateTimeOffset SharedNow => Volatile.Read(ref _anchor) is { } anchor ? anchor.Shared + _time.GetElapsedTime(anchor.At) : _time.GetUtcNow();

    /// <summary>Whether it may allow sound: not as long as it does not see what other hubs have decided. A hub that is alone always sees everything.</summary>
    public bool SeesTheLog => Volatile.Read(ref _sawTheLogAt) is var at && (at == long.MinValue || _time.GetElapsedTime(at).TotalMilliseconds <= Protocol.LeaseLengthMs);

    /// <summary>Sets the shared time by the database's clock.</summary>
    /// <param name="shared">What it showed.</param>
    /// <param name="at">When, as a timestamp.</param>
    public void SetShared(DateTimeOffset shared, long at) => Volatile.Write(ref _anchor, new Anchor(shared, at));

    /// <summary>Everything that other hubs had committed at a moment was seen. From the first time on sound is allowed only soon after the last.</summary>
    /// <param name="at">When, as a timestamp.</param>
    public void SawTheLog(long at) => Volatile.Write(ref _sawTheLogAt, at);

    /// <summary>An order with its expiry told in this hub's running time.</summary>
    /// <param name="order">The order, by whichever hub.</param>
    /// <param name="expiresAt">When it expires, in shared time.</param>
    public StepOrder InOwnTime(StepOrder order, DateTimeOffset expiresAt) => order with { ExpiresAtHubMs = RunningMs + (long)(expiresAt - SharedNow).TotalMilliseconds };

    /// <summary>A lease from now on. Where no sound may be on it has no length: it only tells the kit the hub's time, and what still sounds there falls silent.</summary>
    /// <param name="soundMayBeOn">Whether sound may be on.</param>
    public LeaseGrant NextLease(bool soundMayBeOn) => new(Interlocked.Increment(ref _lastLease), RunId, RunningMs, soundMayBeOn && SeesTheLog ? Protocol.LeaseLengthMs : 0);

    private sealed record Anchor(DateTimeOffset Shared, long At);
}
