using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Network;

/// <summary>The way between one program and the hub: how long things take on it, and what is wrong with it now.</summary>
internal sealed class Wire(Loop loop, Random chance)
{
    private readonly List<Line> _lines = [];
    private long _heldUpUntil;
    private long _heldDownUntil;
    private long _refusedUntil;
    private int _slowTimes;
    private (TimeSpan Delay, TimeSpan Jitter)? _usual;

    /// <summary>Shortest time one way.</summary>
    public TimeSpan Delay { get; set; } = TimeSpan.FromMilliseconds(20);

    /// <summary>What comes on top, at most.</summary>
    public TimeSpan Jitter { get; set; } = TimeSpan.FromMilliseconds(10);

    /// <summary>Messages that may still be delivered twice, and with each other's place taken.</summary>
    public int Doubles { get; set; }

    /// <inheritdoc cref="Doubles"/>
    public int Swaps { get; set; }

    /// <summary>Whether a connection is refused now.</summary>
    public bool Refuses => _refusedUntil > loop.NowTicks;

    /// <summary>Whether nothing comes through, one way or the other.</summary>
    public bool Silent => Math.Max(_heldUpUntil, _heldDownUntil) > loop.NowTicks;

    /// <summary>A message of the connections on it was sent; told with its name, before it goes.</summary>
    public event Action<string>? Sent;

    /// <summary>Nothing comes through for a while, and nobody is told.</summary>
    public void Hold(TimeSpan length, bool up, bool down)
    {
        var until = loop.NowTicks + length.Ticks;
        (_heldUpUntil, _heldDownUntil) = (up ? Math.Max(_heldUpUntil, until) : _heldUpUntil, down ? Math.Max(_heldDownUntil, until) : _heldDownUntil);
    }

    /// <summary>It is slow and uneven for a while. Of two such times the later one counts, and after it the wire is as it always was.</summary>
    public void Slow(TimeSpan length, TimeSpan delay, TimeSpan jitter)
    {
        _usual ??= (Delay, Jitter);
        (Delay, Jitter) = (delay, jitter);
        var number = ++_slowTimes;
        loop.After(length, null, () =>
        {
            if (number == _slowTimes)
            {
                (Delay, Jitter) = _usual.Value;
            }
        });
    }

    /// <summary>Breaks every connection, and lets none be made for a while.</summary>
    public void Cut(TimeSpan refused)
    {
        _refusedUntil = Math.Max(_refusedUntil, loop.NowTicks + refused.Ticks);
        foreach (var line in _lines.ToArray())
        {
            line.Reset();
        }
    }

    /// <summary>Time a message takes that is sent now.</summary>
    public long TripTicks() => Delay.Ticks + (long)(Jitter.Ticks * chance.NextDouble());

    internal void Add(Line line) => _lines.Add(line);

    internal void Remove(Line line) => _lines.Remove(line);

    internal void Tell(string message) => Sent?.Invoke(message);

    internal long HeldUntil(bool up) => up ? _heldUpUntil : _heldDownUntil;

    internal bool TakeDouble() => Doubles > 0 && chance.Next(3) == 0 && Doubles-- > 0;

    internal bool TakeSwap() => Swaps > 0 && chance.Next(3) == 0 && Swaps-- > 0;
}
