using System.Threading.Tasks.Sources;

namespace TeleHearing.Simulation.Scheduling;

/// <summary>A wait of always the same length, a hundred times a second: one object for all of them.</summary>
internal sealed class BlockDelay(Machine machine, TimeSpan length) : IValueTaskSource
{
    private static readonly SendOrPostCallback _done = static self => ((BlockDelay)self!)._core.SetResult(true);

    private ManualResetValueTaskSourceCore<bool> _core = new() { RunContinuationsAsynchronously = false };

    /// <summary>Begins the next wait; the one before is over.</summary>
    public ValueTask Wait()
    {
        _core.Reset();
        machine.Loop.At(machine.Loop.NowTicks + length.Ticks, machine, _done, this);
        return new ValueTask(this, _core.Version);
    }

    public void GetResult(short token) => _core.GetResult(token);

    public ValueTaskSourceStatus GetStatus(short token) => _core.GetStatus(token);

    public void OnCompleted(Action<object?> continuation, object? state, short token, ValueTaskSourceOnCompletedFlags flags) => _core.OnCompleted(continuation, state, token, flags);
}
