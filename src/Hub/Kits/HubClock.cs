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

    /// <summary>A lease from now on.</summary>
    public LeaseGrant NextLease() => new(Interlocked.Increment(ref _lastLease), RunId, RunningMs, Protocol.LeaseLengthMs);
}
