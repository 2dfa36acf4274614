using System.Runtime.Intrinsics;

namespace TeleHearing.Audiology.Signals;

/// <summary>Writes a sound that goes on for ever through a gate.</summary>
internal static class GatedSound
{
    private const int ChunkFrames = 512;

    /// <summary>Fills with the sound from a frame on, in double precision, without its gate.</summary>
    internal delegate void Source(long startFrame, Span<double> samples);

    /// <summary>Writes the samples from a frame on; zeros outside the gate.</summary>
    public static void Render(Source source, Gate gate, long startFrame, Span<float> mono)
    {
        // What lies before the first and after the last frame is silence.
        var before = (int)Math.Clamp(-startFrame, 0, mono.Length);
        var until = (int)Math.Clamp(gate.TotalFrames - startFrame, before, mono.Length);
        mono[..before].Clear();
        mono[until..].Clear();

        Span<double> chunk = stackalloc double[ChunkFrames];
        for (var place = before; place < until; place += ChunkFrames)
        {
            var part = chunk[..Math.Min(ChunkFrames, until - place)];
            source(startFrame + place, part);
            gate.Apply(startFrame + place, part);
            Narrow(part, mono[place..]);
        }
    }

    private static void Narrow(ReadOnlySpan<double> samples, Span<float> mono)
    {
        var place = 0;
        for (; place <= samples.Length - 16; place += 16)
        {
            Vector512.Narrow(Vector512.Create(samples[place..]), Vector512.Create(samples[(place + 8)..])).CopyTo(mono[place..]);
        }

        for (; place < samples.Length; place++)
        {
            mono[place] = (float)samples[place];
        }
    }
}
