using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Whether sound may go on, and what time it is at the hub, from the grants the hub sends.</summary>
/// <remarks>
/// Both clocks are monotonic and need not agree. A grant that travelled for t ms shows a difference (kit time - hub time) that is t too large, so
/// the smallest difference seen is the best one, and a grant that comes late is judged by it and prolongs nothing. Two quartz clocks drift apart,
/// so the estimate may rise by <see cref="DriftPerMs"/>; a delay would need hours to hide behind that. Thread-safe; asked by the audio loop at every block.
/// </remarks>
internal sealed class LeaseClock(TimeProvider time)
{
    /// <summary>Allowed drift between the two clocks: 200 parts in a million (common quartz is within 100; design).</summary>
    public const double DriftPerMs = 200e-6;
    private readonly Lock _lock = new();
    private readonly long _start = time.GetTimestamp();
    private Guid? _run;
    private long _lastNumber = long.MinValue;
    private double _differenceMs;
    private double _differenceAtMs;
    private double? _endsAtHubMs;

    /// <summary>Whether sound may go on now.</summary>
    public bool IsValid
    {
        get
        {
            lock (_lock)
            {
                return _endsAtHubMs is { } end && HubNowInsideLock() <= end;
            }
        }
    }

    /// <summary>The hub's running time in ms by the best estimate; absent before the first grant.</summary>
    public double? HubNowMs
    {
        get
        {
            lock (_lock)
            {
                return _run is null ? null : HubNowInsideLock();
            }
        }
    }

    /// <summary>Takes a grant. One that is out of order or of no length prolongs nothing.</summary>
    public void Take(LeaseGrant grant)
    {
        lock (_lock)
        {
            var now = KitNowMs();
            var difference = now - grant.HubMs;
            if (_run != grant.HubRunId)
            {
                (_run, _differenceMs, _lastNumber, _endsAtHubMs) = (grant.HubRunId, difference, long.MinValue, null);
            }
            else
            {
                _differenceMs = Math.Min(difference, _differenceMs + ((now - _differenceAtMs) * DriftPerMs));
            }

            _differenceAtMs = now;
            if (grant.Number > _lastNumber)
            {
                _lastNumber = grant.Number;
                // the kit's own limit: a lease is never longer than the protocol's, whatever the hub says
                var end = grant.HubMs + (double)Math.Clamp(grant.LengthMs, 0, Protocol.LeaseLengthMs);
                _endsAtHubMs = grant.LengthMs > 0 ? end : null;
            }
        }
    }

    /// <summary>The link is lost: no sound until a new grant comes.</summary>
    public void Withdraw()
    {
        lock (_lock)
        {
            _endsAtHubMs = null;
        }
    }

    private double KitNowMs() => time.GetElapsedTime(_start).TotalMilliseconds;

    private double HubNowInsideLock() => KitNowMs() - _differenceMs;
}
