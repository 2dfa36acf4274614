namespace TeleHearing.Simulation.Scheduling;

/// <summary>One run of one program: its awaits come back here, its clock is here, and when it dies nothing it had begun goes on.</summary>
internal sealed class Machine : SynchronizationContext
{
    private readonly List<(SendOrPostCallback Callback, object? State)> _held = [];
    private readonly Action<Machine, Exception> _broke;
    private long _frozenUntil;
    private int _lives = -1;

    public Machine(string name, Loop loop, MachineClock clock, Action<Machine, Exception> broke)
    {
        (Name, Loop, Clock, _broke) = (name, loop, clock, broke);
        clock.Boot(this);
    }

    public string Name { get; }

    public Loop Loop { get; }

    public MachineClock Clock { get; }

    /// <summary>Whether it runs; frozen ones do.</summary>
    public bool Alive { get; private set; } = true;

    /// <summary>Whether nothing of it moves just now.</summary>
    public bool Frozen => _frozenUntil > Loop.NowTicks;

    /// <summary>Ends it at once, between two of its awaits or in the middle of a call to its disk. Told once.</summary>
    public event Action? Died;

    /// <summary>Where something of this program came from another thread: the run would not be the same twice. Absent when nothing did.</summary>
    public string? Strayed { get; private set; }

    public override void Post(SendOrPostCallback d, object? state)
    {
        if (!Alive)
        {
            return;
        }

        if (Environment.CurrentManagedThreadId != Loop.ThreadId)
        {
            Strayed ??= Environment.StackTrace;
            return;
        }

        Loop.Post(this, d, state);
    }

    public override void Send(SendOrPostCallback d, object? state) => throw new NotSupportedException("Nothing here waits for another thread.");

    public override SynchronizationContext CreateCopy() => this;

    /// <summary>Begins something.</summary>
    public void Begin(Action action) => Loop.Post(this, static todo => ((Action)todo!)(), action);

    /// <summary>Begins something that awaits.</summary>
    public void Begin(Func<Task> work) => Begin(() => Observe(work));

    /// <summary>Dies after so many more of its awaits.</summary>
    public void DieAfter(int awaits) => _lives = awaits;

    /// <summary>Nothing of it moves for a while, as when the whole machine is held up.</summary>
    public void Freeze(TimeSpan length)
    {
        var thawed = Loop.NowTicks + length.Ticks;
        if (thawed > _frozenUntil)
        {
            _frozenUntil = thawed;
            Loop.At(thawed, null, _ => Thaw(), null);
        }
    }

    public void Die()
    {
        if (Alive)
        {
            Alive = false;
            _held.Clear();
            Died?.Invoke();
        }
    }

    internal void Do(SendOrPostCallback callback, object? state)
    {
        if (!Alive)
        {
            return;
        }

        if (_frozenUntil > Loop.NowTicks)
        {
            _held.Add((callback, state));
            return;
        }

        if (_lives >= 0 && _lives-- == 0)
        {
            Die();
            return;
        }

        var before = Current;
        SetSynchronizationContext(this);
        try
        {
            callback(state);
        }
        catch (MachineDiedException)
        {
            // Where its disk stopped answering is where it died.
        }
        catch (Exception fault) when (Alive)
        {
            _broke(this, fault);
        }
        catch (Exception)
        {
            // A dead program's last words are heard by nobody.
        }
        finally
        {
            SetSynchronizationContext(before);
        }
    }

    private async void Observe(Func<Task> work)
    {
        try
        {
            await work();
        }
        catch (MachineDiedException)
        {
            // It died on the way.
        }
        catch (Exception fault)
        {
            if (Alive)
            {
                _broke(this, fault);
            }
        }
    }

    private void Thaw()
    {
        if (_frozenUntil > Loop.NowTicks)
        {
            return;
        }

        foreach (var (callback, state) in _held)
        {
            Loop.Post(this, callback, state);
        }

        _held.Clear();
    }
}

/// <summary>Thrown where a program dies in the middle of a call.</summary>
internal sealed class MachineDiedException() : Exception("The simulated machine died here.");
