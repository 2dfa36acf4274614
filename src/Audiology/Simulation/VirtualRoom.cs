using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Audiology.Simulation;

/// <summary>A simulated room: an endless sound, repeated from a loop.</summary>
public sealed class VirtualRoom
{
    private const int LoopFrames = 1 << 18;

    private readonly float[] _loop;
    private int _position;

    private VirtualRoom(float[] loop) => _loop = loop;

    /// <summary>How far the quiet room lies under the strictest limits, dB.</summary>
    public const double QuietMarginDb = 15;

    /// <summary>A quiet room: 15 dB under the limits of ISO 8253-1:2010 for supra-aural earphones and for bone conduction with test tones from 125 Hz, in every band. Quiet enough for every transducer and for -10 dB HL.</summary>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="seed">Seed of the noise.</param>
    /// <param name="splAtRmsOneDb">Sound pressure level that a signal of root mean square 1 stands for, dB re 20 µPa.</param>
    public static VirtualRoom Quiet(int sampleRateHz, int seed, double splAtRmsOneDb = 120) =>
        Shaped([.. AmbientNoiseLimits.For(TransducerKind.BoneVibrator, 125).Select(limit => new BandLevel(limit.Key, Math.Min(limit.Value, AmbientNoiseLimits.For(TransducerKind.SupraAural, 125)[limit.Key]) - QuietMarginDb))], sampleRateHz, seed, splAtRmsOneDb);

    /// <summary>A room with given third-octave levels, as noise with random phases, exact over each loop of 2^18 frames (5.5 s at 48 kHz). Bands not given are silent.</summary>
    /// <param name="levels">Levels of bands of <see cref="ThirdOctaveBands.Nominal"/>, each at most once.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="seed">Seed of the noise.</param>
    /// <param name="splAtRmsOneDb">Sound pressure level that a signal of root mean square 1 stands for, dB re 20 µPa.</param>
    public static VirtualRoom Shaped(IReadOnlyList<BandLevel> levels, int sampleRateHz, int seed, double splAtRmsOneDb = 120)
    {
        ArgumentNullException.ThrowIfNull(levels);
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRateHz, 32_000);
        var random = new Random(seed);
        var real = new double[LoopFrames];
        var imaginary = new double[LoopFrames];
        foreach (var level in levels)
        {
            var (lower, upper) = ThirdOctaveBands.Edges(level.BandHz);
            var first = (int)Math.Ceiling(lower * LoopFrames / sampleRateHz);
            var last = (int)Math.Ceiling(upper * LoopFrames / sampleRateHz) - 1;

            // Each component is a sine of mean square amplitude^2 / 2, and the band's mean square is shared out evenly.
            var amplitude = Math.Sqrt(2 * Math.Pow(10, (level.LevelDbSpl - splAtRmsOneDb) / 10) / (last - first + 1));
            for (var k = first; k <= last; k++)
            {
                var phase = Math.Tau * random.NextDouble();
                real[k] = amplitude * Math.Cos(phase);
                imaginary[k] = amplitude * Math.Sin(phase);
            }
        }

        // The forward transform of a one-sided spectrum has that sum of sines (run backwards, which noise does not mind) as its real part.
        new FourierTransform(LoopFrames).Forward(real, imaginary);
        return new VirtualRoom([.. real.Select(value => (float)value)]);
    }

    /// <summary>A room that repeats recorded samples.</summary>
    /// <exception cref="ArgumentException">There are none.</exception>
    public static VirtualRoom FromSamples(ReadOnlySpan<float> mono) =>
        mono.Length > 0 ? new VirtualRoom(mono.ToArray()) : throw new ArgumentException("A room needs at least one sample.", nameof(mono));

    /// <summary>Writes the next samples.</summary>
    public void Fill(Span<float> mono)
    {
        while (mono.Length > 0)
        {
            var count = Math.Min(mono.Length, _loop.Length - _position);
            _loop.AsSpan(_position, count).CopyTo(mono);
            mono = mono[count..];
            _position = (_position + count) % _loop.Length;
        }
    }
}
