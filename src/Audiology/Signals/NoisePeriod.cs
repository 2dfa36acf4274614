namespace TeleHearing.Audiology.Signals;

/// <summary>One period of a noise of root mean square 1: exact power in every line of its spectrum, phases by chance from a seed, no rare high peaks.</summary>
/// <remarks>
/// Noise made this way repeats after <see cref="ShortestSeconds"/> or a little more, which nobody hears, and in return each of its samples is known from its place, its spectrum and level are
/// exact over a period, and the same seed gives the same noise. Peaks of chance would force it to be kept low; they are cut at <see cref="HighestCrestFactor"/>, after which the powers are put back and
/// only the phases stay changed, until none is left (clipping and restoring the amplitudes, after Van der Ouderaa, Schoukens and Renneboog 1988, from memory).
/// </remarks>
internal sealed class NoisePeriod
{
    /// <summary>Shortest period in s.</summary>
    public const double ShortestSeconds = 5;

    /// <summary>Highest peak over root mean square: 4, that is 12 dB. A design choice.</summary>
    public const double HighestCrestFactor = 4;

    private const double CutAt = 0.95 * HighestCrestFactor;
    private const int MostRounds = 100;
    private readonly double[] _samples;

    public NoisePeriod(NoiseSpectrum spectrum, long seed, int sampleRateHz)
    {
        (Spectrum, Seed, SampleRateHz) = (spectrum, seed, sampleRateHz);
        var length = 1;
        while (length < ShortestSeconds * sampleRateHz)
        {
            length *= 2;
        }

        var amplitudes = Amplitudes(spectrum, length, sampleRateHz);
        _samples = Make(amplitudes, new SplitMix(seed), new RealTransform(length));
    }

    public NoiseSpectrum Spectrum { get; }

    public long Seed { get; }

    public int SampleRateHz { get; }

    /// <summary>Frames of one period.</summary>
    public int Frames => _samples.Length;

    /// <summary>The samples of a stretch that goes on for ever in both directions, times a gain.</summary>
    public void Fill(long startFrame, Span<double> samples, double gain)
    {
        // a power of two, so that the mask is the remainder
        var mask = _samples.Length - 1;
        var place = (int)(startFrame & mask);
        for (var i = 0; i < samples.Length; i++)
        {
            samples[i] = gain * _samples[(place + i) & mask];
        }
    }

    /// <summary>Amplitude of each line, together of root mean square 1.</summary>
    private static double[] Amplitudes(NoiseSpectrum spectrum, int length, int sampleRateHz)
    {
        var amplitudes = new double[length / 2];
        for (var k = 1; k < amplitudes.Length; k++)
        {
            var hertz = (double)k * sampleRateHz / length;
            amplitudes[k] = hertz >= spectrum.LowestHz && hertz <= spectrum.HighestHz ? Math.Sqrt(spectrum.PowerAt(hertz)) : 0;
        }

        // A line of amplitude a has the mean square a^2 / 2.
        var scale = 1 / Math.Sqrt(amplitudes.Sum(amplitude => amplitude * amplitude) / 2);
        return [.. amplitudes.Select(amplitude => amplitude * scale)];
    }

    private static double[] Make(double[] amplitudes, SplitMix random, RealTransform transform)
    {
        var real = new double[amplitudes.Length];
        var imaginary = new double[amplitudes.Length];
        for (var k = 1; k < amplitudes.Length; k++)
        {
            if (amplitudes[k] > 0)
            {
                var (sine, cosine) = Math.SinCos(Math.Tau * random.NextUnit());
                (real[k], imaginary[k]) = (amplitudes[k] * cosine, amplitudes[k] * sine);
            }
        }

        var samples = new double[transform.Length];
        for (var round = 0; ; round++)
        {
            transform.ToSamples(real, imaginary, samples);
            if (samples.Max(Math.Abs) <= HighestCrestFactor)
            {
                return samples;
            }

            if (round == MostRounds)
            {
                throw new InvalidOperationException($"The peaks of this noise stay above {HighestCrestFactor} times its root mean square; choose another seed.");
            }

            for (var n = 0; n < samples.Length; n++)
            {
                samples[n] = Math.Clamp(samples[n], -CutAt, CutAt);
            }

            transform.ToSpectrum(samples, real, imaginary);
            for (var k = 1; k < amplitudes.Length; k++)
            {
                var size = double.Hypot(real[k], imaginary[k]);
                var factor = size > 0 ? amplitudes[k] / size : 0;
                (real[k], imaginary[k]) = (real[k] * factor, imaginary[k] * factor);
            }
        }
    }
}
