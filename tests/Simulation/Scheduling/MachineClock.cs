namespace TeleHearing.Simulation.Scheduling;

/// <summary>The clocks of one machine: one that only runs on, with the error of its quartz, and one on the wall that can be wrong and can jump.</summary>
/// <param name="loop">The world's time.</param>
/// <param name="wall">What the wall clock shows when the world begins.</param>
/// <param name="drift">How much faster the machine's quartz runs, as a part of one.</param>
internal sealed class MachineClock(Loop loop, DateTimeOffset wall, double drift) : TimeProvider
{
    /// <summary>The most a machine's quartz is wrong by, as a part of one; common ones stay below.</summary>
    public const double LargestDrift = 80e-6;

    private readonly long _began = loop.NowTicks;
    private TimeSpan _jumped;
    private Machine? _machine;

    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    public override TimeZoneInfo LocalTimeZone => TimeZoneInfo.Utc;

    /// <summary>The wall clock is set otherwise.</summary>
    public void Jump(TimeSpan by) => _jumped += by;

    public override DateTimeOffset GetUtcNow() => wall + TimeSpan.FromTicks(Local(loop.NowTicks)) + _jumped;

    public override long GetTimestamp() => Local(loop.NowTicks) - Local(_began);

    public override ITimer CreateTimer(TimerCallback callback, object? state, TimeSpan dueTime, TimeSpan period)
    {
        var timer = new Timer(this, callback, state);
        timer.Change(dueTime, period);
        return timer;
    }

    internal void Boot(Machine machine) => _machine = machine;

    private long Local(long ticks) => ticks + (long)(ticks * drift);

    private sealed class Timer(MachineClock clock, TimerCallback callback, object? state) : ITimer
    {
        // Raised by every change, so that what was scheduled before means nothing any more.
        private int _version;
        private TimeSpan _period;

        public bool Change(TimeSpan dueTime, TimeSpan period)
        {
            _version++;
            _period = period;
            if (dueTime >= TimeSpan.Zero)
            {
                Schedule(dueTime);
            }

            return true;
        }

        public void Dispose() => _version++;

        public ValueTask DisposeAsync()
        {
            _version++;
            return ValueTask.CompletedTask;
        }

        private void Schedule(TimeSpan wait)
        {
            var version = _version;
            clock.Loop.At(clock.Loop.NowTicks + (long)(wait.Ticks / (1 + clock.Drift)), clock._machine, _ => Ring(version), null);
        }

        private void Ring(int version)
        {
            if (version != _version)
            {
                return;
            }

            if (_period > TimeSpan.Zero)
            {
                Schedule(_period);
            }

            callback(state);
        }
    }

    private Loop Loop => loop;

    private double Drift => drift;
}
