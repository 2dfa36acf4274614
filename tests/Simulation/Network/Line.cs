using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Network;

/// <summary>How quickly the two ends of a connection notice that nothing comes any more.</summary>
/// <param name="ClientEvery">How often the client says that it is there.</param>
/// <param name="ClientPatience">How long the client waits for anything.</param>
/// <param name="HubEvery">How often the hub says that it is there.</param>
/// <param name="HubPatience">How long the hub waits for anything.</param>
internal sealed record Pulse(TimeSpan ClientEvery, TimeSpan ClientPatience, TimeSpan HubEvery, TimeSpan HubPatience);

/// <summary>One connection: what is sent arrives in order, after a while, or the connection ends, and either end finds that out for itself.</summary>
internal sealed class Line
{
    private readonly Loop _loop;
    private readonly Wire _wire;
    private readonly Pulse _pulse;
    private readonly Way _up;
    private readonly Way _down;
    private readonly ITimer _clientTimer;
    private readonly ITimer _hubTimer;
    private long _heardByClient;
    private long _heardByHub;

    public Line(Loop loop, Wire wire, Pulse pulse, Machine client, Machine hub)
    {
        (_loop, _wire, _pulse, Client, Hub) = (loop, wire, pulse, client, hub);
        _up = new Way(this, up: true);
        _down = new Way(this, up: false);
        (_heardByClient, _heardByHub) = (client.Clock.GetTimestamp(), hub.Clock.GetTimestamp());
        wire.Add(this);
        _clientTimer = client.Clock.CreateTimer(_ => LookAsClient(), null, pulse.ClientEvery, pulse.ClientEvery);
        _hubTimer = hub.Clock.CreateTimer(_ => LookAsHub(), null, pulse.HubEvery, pulse.HubEvery);
        client.Died += DropClient;
        hub.Died += DropHub;
    }

    public Machine Client { get; }

    public Machine Hub { get; }

    public bool ClientOpen { get; private set; } = true;

    public bool HubOpen { get; private set; } = true;

    /// <summary>The client's end is over; called on the client's machine.</summary>
    public event Action? ClientClosed;

    /// <summary>The hub's end is over; called on the hub's machine.</summary>
    public event Action? HubClosed;

    /// <summary>Something came to the hub, a mere sign of life among it.</summary>
    public event Action? HeardByHub;

    /// <summary>Sends to the hub.</summary>
    /// <param name="message">Name of the message.</param>
    /// <param name="arrives">What its arrival does, on the hub.</param>
    /// <param name="free">Whether it may come twice or out of place where the wire does such things.</param>
    public void ToHub(string message, Action arrives, bool free = false)
    {
        if (ClientOpen && Client.Alive)
        {
            _wire.Tell(message);
            _up.Send(arrives, free);
        }
    }

    /// <summary>Sends to the client.</summary>
    /// <inheritdoc cref="ToHub"/>
    public void ToClient(string message, Action arrives, bool free = false)
    {
        if (HubOpen && Hub.Alive)
        {
            _wire.Tell(message);
            _down.Send(arrives, free);
        }
    }

    /// <summary>The client ends it; the hub hears of that when it hears anything.</summary>
    public void CloseAsClient()
    {
        if (ClientOpen)
        {
            _up.Send(EndAtHub, free: false);
            EndAtClient();
        }
    }

    /// <summary>The hub ends it.</summary>
    public void CloseAsHub()
    {
        if (HubOpen)
        {
            _down.Send(EndAtClient, free: false);
            EndAtHub();
        }
    }

    /// <summary>Both ends are told at once that it is broken; what was under way is lost.</summary>
    public void Reset()
    {
        EndAtClient();
        EndAtHub();
    }

    // The system that a killed program ran on ends its connections; a machine without power ends nothing, and its wire is silent.
    private void DropClient() => CloseAsClient();

    private void DropHub() => CloseAsHub();

    private void EndAtClient()
    {
        if (!ClientOpen)
        {
            return;
        }

        ClientOpen = false;
        _clientTimer.Dispose();
        Client.Died -= DropClient;
        Client.Begin(() => ClientClosed?.Invoke());
        Leave();
    }

    private void EndAtHub()
    {
        if (!HubOpen)
        {
            return;
        }

        HubOpen = false;
        _hubTimer.Dispose();
        Hub.Died -= DropHub;
        Hub.Begin(() => HubClosed?.Invoke());
        Leave();
    }

    private void Leave()
    {
        if (!ClientOpen && !HubOpen)
        {
            _wire.Remove(this);
        }
    }

    private void LookAsClient()
    {
        if (Client.Clock.GetElapsedTime(_heardByClient) > _pulse.ClientPatience)
        {
            CloseAsClient();
            return;
        }

        _up.Send(null, free: false);
    }

    private void LookAsHub()
    {
        if (Hub.Clock.GetElapsedTime(_heardByHub) > _pulse.HubPatience)
        {
            CloseAsHub();
            return;
        }

        _down.Send(null, free: false);
    }

    /// <summary>One direction. What does nothing when it arrives is a sign of life.</summary>
    private sealed class Way(Line line, bool up)
    {
        private readonly Queue<(long Due, Action? Arrives)> _under = new();

        // What has arrived and waits for its turn on the machine: turns may come in any order, messages of a connection do not.
        private readonly Queue<Action?> _arrived = new();
        private (Action? Arrives, bool Waits) _swapped;
        private long _last;
        private bool _scheduled;

        public void Send(Action? arrives, bool free)
        {
            if (_swapped.Waits)
            {
                var before = _swapped.Arrives;
                _swapped = default;
                Enqueue(arrives);
                Enqueue(before);
                return;
            }

            if (free && line._wire.TakeSwap())
            {
                _swapped = (arrives, true);
                return;
            }

            Enqueue(arrives);
            if (free && line._wire.TakeDouble())
            {
                Enqueue(arrives);
            }
        }

        private void Enqueue(Action? arrives)
        {
            _last = Math.Max(_last, line._loop.NowTicks + line._wire.TripTicks());
            _under.Enqueue((_last, arrives));
            Schedule();
        }

        private void Schedule()
        {
            if (!_scheduled && _under.TryPeek(out var first))
            {
                _scheduled = true;
                line._loop.At(Math.Max(first.Due, line._wire.HeldUntil(up)), null, static way => ((Way)way!).Deliver(), this);
            }
        }

        private void Deliver()
        {
            _scheduled = false;
            while (_under.TryPeek(out var first) && Math.Max(first.Due, line._wire.HeldUntil(up)) <= line._loop.NowTicks)
            {
                _under.Dequeue();
                Hand(first.Arrives);
            }

            Schedule();
        }

        private void Hand(Action? arrives)
        {
            var machine = up ? line.Hub : line.Client;
            if (!(up ? line.HubOpen : line.ClientOpen))
            {
                return;
            }

            if (arrives is null && !machine.Frozen)
            {
                Note();
                return;
            }

            _arrived.Enqueue(arrives);
            machine.Begin(() =>
            {
                var next = _arrived.Dequeue();

                // It may have ended since, while this machine was busy or held up.
                if (up ? line.HubOpen : line.ClientOpen)
                {
                    Note();
                    next?.Invoke();
                }
            });
        }

        private void Note()
        {
            if (up)
            {
                line._heardByHub = line.Hub.Clock.GetTimestamp();
                line.HeardByHub?.Invoke();
            }
            else
            {
                line._heardByClient = line.Client.Clock.GetTimestamp();
            }
        }
    }
}
