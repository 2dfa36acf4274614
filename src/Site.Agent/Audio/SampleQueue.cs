namespace TeleHearing.Site.Agent.Audio;

/// <summary>Holds the newest samples of a microphone until they are wanted; the oldest give way when it is full.</summary>
/// <remarks>Safe for one thread that adds and one that takes.</remarks>
internal sealed class SampleQueue(int capacityFrames)
{
    private readonly Lock _lock = new();
    private readonly float[] _ring = new float[capacityFrames];
    private long _added;
    private long _taken;
    private long _dropped;

    /// <summary>Frames that gave way before they were taken.</summary>
    public long Dropped => Interlocked.Read(ref _dropped);

    /// <summary>Adds the first channel of interleaved samples.</summary>
    public void Add(ReadOnlySpan<float> interleaved, int channels)
    {
        lock (_lock)
        {
            for (var index = 0; index + channels <= interleaved.Length; index += channels)
            {
                _ring[_added++ % capacityFrames] = interleaved[index];
            }

            if (_added - _taken > capacityFrames)
            {
                Interlocked.Add(ref _dropped, _added - _taken - capacityFrames);
                _taken = _added - capacityFrames;
            }
        }
    }

    /// <summary>Takes as many as fit, or none when there are fewer.</summary>
    public bool TryTake(Span<float> mono)
    {
        lock (_lock)
        {
            if (_added - _taken < mono.Length)
            {
                return false;
            }

            for (var index = 0; index < mono.Length; index++)
            {
                mono[index] = _ring[_taken++ % capacityFrames];
            }

            return true;
        }
    }
}
