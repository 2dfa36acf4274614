namespace TeleHearing.Site.Agent.Audio;

/// <summary>The last moments the microphone heard, so that a noise measurement that begins now can begin with settled filters.</summary>
/// <remarks>Written by the audio loop, read from any thread.</remarks>
internal sealed class RoomMemory
{
    /// <summary>How much is kept, ms: what the narrowest low bands need to settle.</summary>
    public const double LengthMs = 1000;

    private readonly Lock _gate = new();
    private readonly float[] _ring = new float[AudioFormat.FramesOf(LengthMs)];
    private int _next;
    private int _kept;

    /// <summary>One more block.</summary>
    public void Add(ReadOnlySpan<float> mono)
    {
        lock (_gate)
        {
            foreach (var sample in mono)
            {
                _ring[_next] = sample;
                _next = (_next + 1) % _ring.Length;
            }

            _kept = Math.Min(_kept + mono.Length, _ring.Length);
        }
    }

    /// <summary>What is kept, oldest first; shorter than <see cref="LengthMs"/> just after the start.</summary>
    public float[] Copy()
    {
        lock (_gate)
        {
            var copy = new float[_kept];
            for (var index = 0; index < _kept; index++)
            {
                copy[index] = _ring[(_next - _kept + index + _ring.Length) % _ring.Length];
            }

            return copy;
        }
    }
}
