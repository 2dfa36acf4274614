using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Site.Agent.Screen.Case;

/// <summary>Reads the case from the hub: once the link stands, when the session moves on, and now and then.</summary>
internal sealed class CaseWatch(CaseLink link, CaseDesk desk, KitScreenState screen, TimeProvider time) : BackgroundService
{
    /// <summary>How often it is read while nothing happens: the clinic may count or pack meanwhile.</summary>
    private static readonly TimeSpan _every = TimeSpan.FromSeconds(30);

    /// <summary>When it is read again after the hub gave no answer.</summary>
    private static readonly TimeSpan _soon = TimeSpan.FromSeconds(5);

    private TaskCompletionSource _moved = NewSignal();
    private (LinkState, Contracts.SessionId?, Contracts.SessionStage?) _seen;

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        screen.Changed += Look;
        try
        {
            while (!stoppingToken.IsCancellationRequested)
            {
                // Taken before the reading: what moves in between is then read again rather than missed.
                var moved = Volatile.Read(ref _moved);
                var told = screen.Now.Link == LinkState.Linked ? await link.Read(stoppingToken) : null;
                if (told is not null)
                {
                    desk.Take(told);
                }

                await Task.WhenAny(moved.Task, Task.Delay(told is null ? _soon : _every, time, stoppingToken));
                Interlocked.CompareExchange(ref _moved, NewSignal(), moved);
            }
        }
        finally
        {
            screen.Changed -= Look;
        }
    }

    private static TaskCompletionSource NewSignal() => new(TaskCreationOptions.RunContinuationsAsynchronously);

    private void Look()
    {
        var now = screen.Now;
        var seen = (now.Link, now.Scene?.SessionId, now.Scene?.Stage);
        if (seen != _seen)
        {
            _seen = seen;
            Volatile.Read(ref _moved).TrySetResult();
        }
    }
}
