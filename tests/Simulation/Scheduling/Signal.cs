namespace TeleHearing.Simulation.Scheduling;

/// <summary>Something has changed, or enough time has passed.</summary>
internal sealed class Signal(TimeProvider clock)
{
    private readonly List<TaskCompletionSource> _waiting = [];

    public void Give()
    {
        foreach (var waiting in _waiting)
        {
            waiting.TrySetResult();
        }

        _waiting.Clear();
    }

    /// <summary>Waits for the next one, no longer than this.</summary>
    public async Task Wait(TimeSpan limit)
    {
        var waiting = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        _waiting.Add(waiting);
        using var timer = clock.CreateTimer(static done => ((TaskCompletionSource)done!).TrySetResult(), waiting, limit, Timeout.InfiniteTimeSpan);
        await waiting.Task;
        _waiting.Remove(waiting);
    }
}
