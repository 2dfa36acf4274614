using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Whether sound may go on, and what time it is at the hub, from the grants the hub sends.</summary>
/// <remarks>
/// Both clocks are monotonic and need not agree. A grant that travelled for t ms shows a difference (kit time - hub time) that is t too large, so
/// the smallest difference seen is the best one, and a grant that comes late is judged by it and prolongs nothing. Two quartz clocks drift apart,
/// so the estimate may rise by <see cref="DriftPerMs"/>, and does where a grant came that quickly: one that is slower than drift explains was held up on its way and
/// raises nothing, however long the link stays slow. Thread-safe; asked by the audio loop at every block.
/// <para>
/// A monotonic clock may stand still while its machine sleeps. When the hub slept, the answer to a hello shows it, for it cannot have been made before the
/// hello was sent. When this machine slept, its wall clock has run on: sound then ends, and no grant counts before the answer to a new hello. What is known of the
/// difference stands, for a kit's clock that stood still makes it only smaller. The wall clock can only ever end sound; when it is merely put right by a jump, that costs one hello.
/// </para>
/// </remarks>
internal sealed class LeaseClock(TimeProvider time)
{
    /// <summary>Allowed drift between the two clocks: 200 parts in a million (common quartz is within 100; design).</summary>
    public const double DriftPerMs = 200e-6;

    /// <summary>A wall clock that ran further than the monotonic one by this much, ms, means that the machine slept (design: half a lease).</summary>
    public const double SleepMs = Protocol.LeaseLengthMs / 2;

    /// <summary>Rounding of times on the wire and of the two clocks' reading, ms.</summary>
    private const double RoundingMs = 5;

    private readonly Lock _lock = new();
    private readonly long _start = time.GetTimestamp();
    private Guid? _run;
    private long _lastNumber = long.MinValue;
    private double _differenceMs;
    private double _differenceAtMs;
    private double? _endsAtHubMs;
    private double _lookedAtMs;
    private DateTimeOffset _lookedAt = time.GetUtcNow();
    private bool _slept;

    /// <summary>Whether sound may go on now.</summary>
    public bool IsValid => IsValidFor(0);

    /// <summary>Whether a sample may sound that does so this many ms from now.</summary>
    public bool IsValidFor(double aheadMs)
    {
        lock (_lock)
        {
            return !SleptInsideLock() && _endsAtHubMs is { } end && HubNowInsideLock() + aheadMs <= end;
        }
    }

    /// <summary>The hub's running time in ms by the best estimate; absent before the first grant, and after a sleep until the next hello is answered.</summary>
    public double? HubNowMs
    {
        get
        {
            lock (_lock)
            {
                return SleptInsideLock() || _run is null ? null : HubNowInsideLock();
            }
        }
    }

    /// <summary>This clock in ms, to be noted when a hello is sent.</summary>
    public double KitNowMs => time.GetElapsedTime(_start).TotalMilliseconds;

    /// <summary>Takes a grant. One that is out of order or of no length prolongs nothing.</summary>
    /// <returns>False when this machine slept and the grant counts for nothing.</returns>
    public bool Take(LeaseGrant grant)
    {
        lock (_lock)
        {
            if (SleptInsideLock())
            {
                return false;
            }

            TakeInsideLock(grant, KitNowMs);
            return true;
        }
    }

    /// <summary>Takes the grant that came with the answer to a hello.</summary>
    /// <param name="grant">The grant.</param>
    /// <param name="askedAtMs"><see cref="KitNowMs"/> when the hello was sent.</param>
    public void TakeAnswer(LeaseGrant grant, double askedAtMs)
    {
        lock (_lock)
        {
            var now = KitNowMs;
            SleptInsideLock();
            // made after the hello, so the true difference is at least this; a smaller estimate is from before the hub's clock stood still
            var hubSlept = _run == grant.HubRunId && askedAtMs - grant.HubMs > Highest(now) + RoundingMs;
            if (hubSlept)
            {
                _run = null;
            }

            _slept = false;

            TakeInsideLock(grant, now);
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

    private void TakeInsideLock(LeaseGrant grant, double now)
    {
        var difference = now - grant.HubMs;
        if (_run != grant.HubRunId)
        {
            (_run, _differenceMs, _differenceAtMs, _lastNumber, _endsAtHubMs) = (grant.HubRunId, difference, now, long.MinValue, null);
        }
        else if (difference <= Highest(now))
        {
            (_differenceMs, _differenceAtMs) = (difference, now);
        }

        if (grant.Number > _lastNumber)
        {
            _lastNumber = grant.Number;
            // the kit's own limit: a lease is never longer than the protocol's, whatever the hub says
            var end = grant.HubMs + (double)Math.Clamp(grant.LengthMs, 0, Protocol.LeaseLengthMs);
            _endsAtHubMs = grant.LengthMs > 0 ? end : null;
        }
    }

    /// <summary>Looks at both clocks and says whether this machine has slept since the last answer to a hello.</summary>
    private bool SleptInsideLock()
    {
        var (now, wall) = (KitNowMs, time.GetUtcNow());
        if ((wall - _lookedAt).TotalMilliseconds - (now - _lookedAtMs) > SleepMs)
        {
            (_slept, _endsAtHubMs) = (true, null);
        }

        (_lookedAtMs, _lookedAt) = (now, wall);
        return _slept;
    }

    /// <summary>The difference as it may be by now if the two clocks have drifted apart since it was last seen.</summary>
    private double Highest(double now) => _differenceMs + ((now - _differenceAtMs) * DriftPerMs);

    private double HubNowInsideLock() => KitNowMs - _differenceMs;
}
