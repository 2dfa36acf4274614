using System.Collections.Concurrent;

namespace TeleHearing.Site.Agent.Audio;

/// <summary>The response button: the pad on the kit screen, or a device that knows the exact frame itself.</summary>
/// <remarks>Pressed from any thread; read by the audio loop alone.</remarks>
internal sealed class ResponseButton(Func<long> currentFrame, IPressSource? source)
{
    private readonly ConcurrentQueue<ButtonPress> _fromScreen = new();
    private readonly List<ButtonPress> _collected = [];
    private readonly PriorityQueue<ButtonPress, long> _downs = new();
    private readonly PriorityQueue<long, long> _ups = new();
    private int _held;

    /// <summary>The button went down (true) or up (false). Raised on the audio loop, for lamps; handlers must not wait.</summary>
    public event Action<bool>? Moved;

    /// <summary>The pad went down; stamped with the frame being played.</summary>
    public void Down()
    {
        var frame = currentFrame();
        if (Interlocked.Exchange(ref _held, 1) == 0)
        {
            _fromScreen.Enqueue(new ButtonPress(frame, long.MaxValue));
        }
    }

    /// <summary>The pad came up.</summary>
    public void Up()
    {
        if (Interlocked.Exchange(ref _held, 0) == 1)
        {
            _fromScreen.Enqueue(new ButtonPress(long.MaxValue, currentFrame()));
        }
    }

    /// <summary>Presses that went down before <paramref name="endFrame"/> and were not handed out yet, oldest first.</summary>
    internal void TakeUntil(long endFrame, List<ButtonPress> presses)
    {
        Collect();
        while (_downs.TryPeek(out var press, out var down) && down < endFrame)
        {
            _downs.Dequeue();
            presses.Add(press);
            Moved?.Invoke(true);
        }

        while (_ups.TryPeek(out var up, out _) && up < endFrame)
        {
            _ups.Dequeue();
            Moved?.Invoke(false);
        }
    }

    private void Collect()
    {
        while (_fromScreen.TryDequeue(out var press))
        {
            if (press.DownFrame != long.MaxValue)
            {
                _downs.Enqueue(press, press.DownFrame);
            }
            else
            {
                _ups.Enqueue(press.UpFrame, press.UpFrame);
            }
        }

        _collected.Clear();
        source?.Collect(_collected);
        foreach (var press in _collected)
        {
            _downs.Enqueue(press, press.DownFrame);
            _ups.Enqueue(press.UpFrame, press.UpFrame);
        }
    }
}
