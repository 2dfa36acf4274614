namespace TeleHearing.Site.Agent.Audio;

/// <summary>Samples between the audio loop, which waits when it is full, and a driver that fetches what it wants when it wants it.</summary>
/// <remarks>One thread adds, one takes.</remarks>
internal sealed class BlockQueue(int mostBlocks) : IDisposable
{
    private readonly Lock _lock = new();
    private readonly SemaphoreSlim _room = new(0);
    private readonly float[] _ring = new float[mostBlocks * AudioFormat.BlockFrames * AudioFormat.Channels];
    private long _added;
    private long _taken;
    private int _underruns;

    /// <summary>How often the driver found too little. Before the first samples came that is no fault.</summary>
    public int Underruns => Volatile.Read(ref _underruns);

    /// <summary>Frames waiting.</summary>
    public int HeldFrames
    {
        get
        {
            lock (_lock)
            {
                return (int)(_added - _taken) / AudioFormat.Channels;
            }
        }
    }

    /// <summary>Adds one block; waits for room as long as the limit.</summary>
    public bool TryAdd(ReadOnlySpan<float> stereo, TimeSpan limit, CancellationToken cancellationToken)
    {
        while (true)
        {
            lock (_lock)
            {
                if (_added - _taken + stereo.Length <= _ring.Length)
                {
                    foreach (var sample in stereo)
                    {
                        _ring[_added++ % _ring.Length] = sample;
                    }

                    return true;
                }
            }

            if (!_room.Wait(limit, cancellationToken))
            {
                return false;
            }
        }
    }

    /// <summary>Takes what there is and fills up with silence.</summary>
    public void Take(Span<float> stereo)
    {
        lock (_lock)
        {
            var count = (int)Math.Min(stereo.Length, _added - _taken);
            for (var index = 0; index < count; index++)
            {
                stereo[index] = _ring[_taken++ % _ring.Length];
            }

            stereo[count..].Clear();
            if (count < stereo.Length && _added > 0)
            {
                Interlocked.Increment(ref _underruns);
            }
        }

        _room.Release();
    }

    /// <inheritdoc />
    public void Dispose() => _room.Dispose();
}
