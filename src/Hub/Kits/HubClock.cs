using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits;

/// <summary>The hub's running time: monotonic, counted from its start, so that no wall clock has to be right. Any thread.</summary>
internal sealed class HubClock
{
    private readonly TimeProvider _time;
    private readonly long _start;
    private long _lastLease;

    public HubClock(TimeProvider time)
    {
        _time = time;
        _start = time.GetTimestamp();
    }

    /// <summary>Changes with every start of the hub.</summary>
    public Guid RunId { get; } = Guid.CreateVersion7();

    /// <summary>Running time in ms.</summary>
    public long RunningMs => (long)_time.GetElapsedTime(_start).TotalMilliseconds;

    /// <summary>A lease from now on. Where no sound may be on it has no length: it only tells the kit the hub's time, and what still sounds there falls silent.</summary>
    /// <param name="soundMayBeOn">Whether sound may be on.</param>
    public LeaseGrant NextLease(bool soundMayBeOn) => new(Interlocked.Increment(ref _lastLease), RunId, RunningMs, soundMayBeOn ? Protocol.LeaseLengthMs : 0);
}
