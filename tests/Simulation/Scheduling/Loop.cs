namespace TeleHearing.Simulation.Scheduling;

/// <summary>All that happens in a simulated world, one thing after another on one thread. Time stands still while things happen and then jumps to the next one that is due.</summary>
/// <remarks>What is ready at the same moment is taken in the order it came, or in an order drawn from the seed: threads of a real machine promise no order either.</remarks>
internal sealed class Loop(Random order, bool shuffles)
{
    private readonly PriorityQueue<Item, (long At, long Number)> _later = new();
    private readonly List<Item> _ready = [];
    private int _taken;
    private long _number;

    /// <summary>Time since the world began.</summary>
    public long NowTicks { get; private set; }

    /// <summary>Time since the world began.</summary>
    public TimeSpan Now => TimeSpan.FromTicks(NowTicks);

    /// <summary>How much has happened.</summary>
    public long Steps { get; private set; }

    /// <summary>Thread that runs it; whatever comes from another one would be outside the simulation.</summary>
    public int ThreadId { get; } = Environment.CurrentManagedThreadId;

    /// <summary>Has something done as soon as it is its turn.</summary>
    public void Post(Machine? machine, SendOrPostCallback callback, object? state) => _ready.Add(new Item(machine, callback, state));

    /// <summary>Has something done at a time.</summary>
    public void At(long ticks, Machine? machine, SendOrPostCallback callback, object? state) =>
        _later.Enqueue(new Item(machine, callback, state), (Math.Max(ticks, NowTicks), _number++));

    /// <summary>Has something done after a while.</summary>
    public void After(TimeSpan wait, Machine? machine, Action action) => At(NowTicks + wait.Ticks, machine, static done => ((Action)done!)(), action);

    /// <summary>Lets everything happen until a moment, or until there is enough.</summary>
    /// <returns>Whether it was enough.</returns>
    public bool Run(TimeSpan until, Func<bool> enough)
    {
        while (true)
        {
            while (_taken < _ready.Count)
            {
                Do(Take());
            }

            if (enough())
            {
                return true;
            }

            if (!_later.TryPeek(out _, out var due) || due.At > until.Ticks)
            {
                NowTicks = until.Ticks;
                return false;
            }

            NowTicks = due.At;
            Do(_later.Dequeue());
        }
    }

    private Item Take()
    {
        var index = shuffles && _ready.Count - _taken > 1 ? order.Next(_taken, _ready.Count) : _taken;
        var item = _ready[index];
        _ready[index] = _ready[_taken];
        _ready[_taken++] = default;
        if (_taken == _ready.Count)
        {
            _ready.Clear();
            _taken = 0;
        }

        return item;
    }

    private void Do(Item item)
    {
        Steps++;
        if (item.Machine is { } machine)
        {
            machine.Do(item.Callback, item.State);
        }
        else
        {
            item.Callback(item.State);
        }
    }

    private readonly record struct Item(Machine? Machine, SendOrPostCallback Callback, object? State);
}
