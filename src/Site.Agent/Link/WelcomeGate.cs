namespace TeleHearing.Site.Agent.Link;

/// <summary>Keeps back what a connection delivers before the hub's answer to hello was taken, and then lets it through in the order it came.</summary>
/// <remarks>The answer and what follows it arrive in order, but the answer wakes a waiting task while the rest is handed to handlers at once, which may be sooner. One per connection. Thread-safe.</remarks>
internal sealed class WelcomeGate
{
    private readonly Lock _lock = new();
    private readonly Queue<Action> _waiting = new();
    private bool _open;

    /// <summary>Whether the hub's answer was taken.</summary>
    public bool IsOpen
    {
        get
        {
            lock (_lock)
            {
                return _open;
            }
        }
    }

    /// <summary>Does something now, or once the gate is open.</summary>
    public void Pass(Action action)
    {
        lock (_lock)
        {
            if (!_open)
            {
                _waiting.Enqueue(action);
                return;
            }

            // inside the lock, so that nothing newer overtakes what is let through
            action();
        }
    }

    /// <summary>Lets everything through.</summary>
    public void Open()
    {
        lock (_lock)
        {
            while (_waiting.TryDequeue(out var action))
            {
                action();
            }

            _open = true;
        }
    }
}
