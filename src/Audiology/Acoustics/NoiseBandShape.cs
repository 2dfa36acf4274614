namespace TeleHearing.Audiology.Acoustics;

/// <summary>Shape of a band of noise.</summary>
/// <param name="LowerHz">Its lower -3 dB point in Hz.</param>
/// <param name="UpperHz">Its upper -3 dB point in Hz.</param>
/// <param name="SkirtExcessDb">By how much its skirts, from 1/48 octave outside the -3 dB points on, rise over a fall of 12 dB for each octave, until 36 dB down: at most 0 where IEC 60645-1 is met (from memory).</param>
public sealed record BandShape(double LowerHz, double UpperHz, double SkirtExcessDb)
{
    /// <summary>Width between the -3 dB points in octaves.</summary>
    public double Octaves => Math.Log2(UpperHz / LowerHz);
}

/// <summary>Finds the shape of a band of noise in one whole period of it.</summary>
/// <remarks>Over a whole period a periodic noise has a spectrum of exact lines, so that its edges are seen without the scatter of a short look at a random noise.</remarks>
public static class NoiseBandShape
{
    private const double SlopeDbPerOctave = 12;
    private const double FloorDb = -36;

    /// <summary>Lines within this many octaves of the middle give the height of the band.</summary>
    private const double MiddleOctaves = 1.0 / 12;

    /// <summary>Lines are averaged over this many octaves, so that the noise of a cable loop does not make edges.</summary>
    private const double SmoothingOctaves = 1.0 / 48;

    /// <summary>Measures.</summary>
    /// <param name="period">One period, or several: a power of two of samples.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="centreHz">Middle of the band in Hz.</param>
    /// <returns>The shape; absent when there is no band with two edges around the middle.</returns>
    /// <exception cref="ArgumentOutOfRangeException">The length is no power of two.</exception>
    public static BandShape? Measure(ReadOnlySpan<float> period, double sampleRateHz, double centreHz)
    {
        var power = Smooth(LinePowers(period), sampleRateHz / period.Length);
        var step = sampleRateHz / period.Length;
        var middle = Line(centreHz);
        var height = Mean(power, Line(centreHz * Math.Pow(2, -MiddleOctaves)), Line(centreHz * Math.Pow(2, MiddleOctaves)));
        if (!(height > 0))
        {
            return null;
        }

        var half = height * Math.Pow(10, -0.3);
        var (lower, upper) = (middle, middle);
        while (lower > 1 && power[lower] >= half)
        {
            lower--;
        }

        while (upper < power.Length - 1 && power[upper] >= half)
        {
            upper++;
        }

        if (lower <= 1 || upper >= power.Length - 1)
        {
            return null;
        }

        // a line on either side is above and below; the edge lies between them
        var shape = new BandShape((lower + 0.5) * step, (upper - 0.5) * step, 0);
        return shape with { SkirtExcessDb = Excess(power, height, step, shape, lower, upper) };

        int Line(double hertz) => Math.Clamp((int)Math.Round(hertz / step), 1, power.Length - 2);
    }

    private static double Excess(double[] power, double height, double step, BandShape shape, int lower, int upper)
    {
        var worst = double.NegativeInfinity;
        for (var line = 1; line < power.Length; line++)
        {
            if (line > lower && line < upper)
            {
                continue;
            }

            var octaves = line <= lower ? Math.Log2(shape.LowerHz / (line * step)) : Math.Log2(line * step / shape.UpperHz);
            if (octaves < SmoothingOctaves)
            {
                // the edge itself, which is 3 dB down by definition
                continue;
            }

            var allowed = Math.Max(FloorDb, -3 - (SlopeDbPerOctave * octaves));
            worst = Math.Max(worst, (10 * Math.Log10(Math.Max(power[line], double.Epsilon) / height)) - allowed);
        }

        return worst;
    }

    private static double Mean(double[] power, int from, int to)
    {
        var sum = 0.0;
        for (var line = from; line <= to; line++)
        {
            sum += power[line];
        }

        return sum / (to - from + 1);
    }

    private static double[] Smooth(double[] power, double step)
    {
        var sums = new double[power.Length + 1];
        for (var line = 0; line < power.Length; line++)
        {
            sums[line + 1] = sums[line] + power[line];
        }

        var ratio = Math.Pow(2, SmoothingOctaves / 2);
        var smooth = new double[power.Length];
        for (var line = 0; line < power.Length; line++)
        {
            var from = Math.Max(0, (int)Math.Ceiling(line / ratio));
            var to = Math.Min(power.Length - 1, (int)Math.Floor(line * ratio));
            smooth[line] = (sums[to + 1] - sums[from]) / (to - from + 1);
        }

        return smooth;
    }

    /// <summary>Powers of the lines from 0 Hz to half the sample rate: a plain radix-2 transform (handbook), apart from the one that makes the noise.</summary>
    private static double[] LinePowers(ReadOnlySpan<float> samples)
    {
        var length = samples.Length;
        if (length < 4 || (length & (length - 1)) != 0)
        {
            throw new ArgumentOutOfRangeException(nameof(samples), length, "The length must be a power of two.");
        }

        var values = new System.Numerics.Complex[length];
        for (int n = 0, reversed = 0; n < length; n++)
        {
            values[reversed] = samples[n];
            var bit = length / 2;
            while (bit > 0 && (reversed & bit) != 0)
            {
                reversed ^= bit;
                bit /= 2;
            }

            reversed |= bit;
        }

        for (var half = 1; half < length; half *= 2)
        {
            var twiddles = new System.Numerics.Complex[half];
            for (var j = 0; j < half; j++)
            {
                twiddles[j] = System.Numerics.Complex.FromPolarCoordinates(1, -Math.PI * j / half);
            }

            for (var start = 0; start < length; start += 2 * half)
            {
                for (var j = 0; j < half; j++)
                {
                    var turned = values[start + j + half] * twiddles[j];
                    values[start + j + half] = values[start + j] - turned;
                    values[start + j] += turned;
                }
            }
        }

        var powers = new double[(length / 2) + 1];
        for (var line = 0; line < powers.Length; line++)
        {
            powers[line] = (values[line].Real * values[line].Real) + (values[line].Imaginary * values[line].Imaginary);
        }

        return powers;
    }
}
