namespace TeleHearing.Testing;

/// <summary>One direction through a <see cref="TcpProxy"/>, and what happens to bytes on it. Everything can be changed while bytes flow.</summary>
public sealed class ProxyWay
{
    private readonly Lock _gate = new();
    private TaskCompletionSource? _held;
    private int _flips;

    /// <summary>How long everything is under way. Nothing at first.</summary>
    public TimeSpan Delay { get; set; }

    /// <summary>Whether what comes is thrown away without a word to either end.</summary>
    public bool Drops { get; set; }

    /// <summary>Bytes per second at most; 0 without a limit.</summary>
    public int BytesPerSecond { get; set; }

    /// <summary>Bytes handed on at a time at most, so that every boundary of a message is cut somewhere; 0 as they come.</summary>
    public int SliceBytes { get; set; }

    /// <summary>Keeps what comes, in order, until <see cref="LetGo"/>.</summary>
    public void Hold()
    {
        lock (_gate)
        {
            _held ??= new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        }
    }

    /// <summary>Hands on what was kept.</summary>
    public void LetGo()
    {
        TaskCompletionSource? held;
        lock (_gate)
        {
            (held, _held) = (_held, null);
        }

        held?.TrySetResult();
    }

    /// <summary>Turns over one bit of the next bytes that come.</summary>
    public void FlipABit() => Interlocked.Increment(ref _flips);

    internal Task Held
    {
        get
        {
            lock (_gate)
            {
                return _held?.Task ?? Task.CompletedTask;
            }
        }
    }

    internal void Corrupt(Span<byte> bytes)
    {
        if (bytes.Length > 0 && Interlocked.Exchange(ref _flips, 0) > 0)
        {
            bytes[bytes.Length / 2] ^= 1;
        }
    }

    internal void Clear()
    {
        (Drops, Delay, BytesPerSecond, SliceBytes) = (false, TimeSpan.Zero, 0, 0);
        LetGo();
    }
}
