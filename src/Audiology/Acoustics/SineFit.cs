namespace TeleHearing.Audiology.Acoustics;

/// <summary>The sine found in a recording.</summary>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="Amplitude">Peak.</param>
/// <param name="ResidualRms">Root mean square of everything else: distortion, noise and offset.</param>
/// <param name="HarmonicRms">Root mean square of its second to fifth harmonic together, as far as they lie below half the sample rate.</param>
/// <param name="Frames">Number of samples it was found in.</param>
public readonly record struct FittedSine(double FrequencyHz, double Amplitude, double ResidualRms, double HarmonicRms, int Frames)
{
    /// <summary>Level of the peak in dB of digital full scale.</summary>
    public double LevelDb => 20 * Math.Log10(Amplitude);

    /// <summary>Everything else, in dB of the sine.</summary>
    public double DistortionAndNoiseDb => 20 * Math.Log10(ResidualRms * Math.Sqrt(2) / Amplitude);

    /// <summary>Total harmonic distortion in percent.</summary>
    public double HarmonicPercent => 100 * HarmonicRms * Math.Sqrt(2) / Amplitude;

    /// <summary>By how much noise as strong as the residual may have moved the level, dB (one standard deviation; least squares, handbook: amplitude spread = noise sqrt(2 / N)).</summary>
    public double LevelSpreadDb => 20 * Math.Log10(1 + (ResidualRms * Math.Sqrt(2.0 / Frames) / Amplitude));
}

/// <summary>Finds the sine in a recording by least squares over amplitude, phase, offset and frequency.</summary>
/// <remarks>The four-parameter sine fit of IEEE Std 1057 (from memory): linear least squares, with the frequency corrected from step to step. It needs no whole number of periods.</remarks>
public static class SineFit
{
    private const int Unknowns = 4;
    private const int Steps = 8;

    /// <summary>Fits.</summary>
    /// <param name="samples">A stretch of steady tone, at least three periods long.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="nearHz">Frequency it should have, Hz; the true one must be nearer than half the inverse of the stretch's length.</param>
    /// <exception cref="ArgumentOutOfRangeException">The stretch is too short or the frequency out of range.</exception>
    public static FittedSine Fit(ReadOnlySpan<float> samples, double sampleRateHz, double nearHz)
    {
        if (!(nearHz > 0 && nearHz < sampleRateHz / 2))
        {
            throw new ArgumentOutOfRangeException(nameof(nearHz), nearHz, "The frequency must be above 0 and below half the sample rate.");
        }

        if (!(samples.Length * nearHz / sampleRateHz >= 3))
        {
            throw new ArgumentOutOfRangeException(nameof(samples), samples.Length, "At least three periods are needed.");
        }

        var turn = Math.Tau * nearHz / sampleRateHz;
        var (cosine, sine, offset) = Linear(samples, turn);
        for (var step = 0; step < Steps; step++)
        {
            (cosine, sine, offset, var correction) = WithFrequency(samples, turn, cosine, sine);
            turn += correction;
        }

        var residual = new double[samples.Length];
        var sum = 0.0;
        var middle = samples.Length / 2;
        for (var n = 0; n < samples.Length; n++)
        {
            var (s, c) = Math.SinCos(turn * (n - middle));
            residual[n] = samples[n] - (cosine * c) - (sine * s);
            sum += residual[n] * residual[n];
        }

        return new FittedSine(
            turn * sampleRateHz / Math.Tau,
            Math.Sqrt((cosine * cosine) + (sine * sine)),
            Math.Sqrt(sum / samples.Length),
            Math.Sqrt(Harmonics(residual, turn)),
            samples.Length);
    }

    private static (double Cosine, double Sine, double Offset) Linear(ReadOnlySpan<float> samples, double turn)
    {
        var solved = Solve(samples, turn, 0, 0, unknowns: 3);
        return (solved[0], solved[1], solved[2]);
    }

    private static (double Cosine, double Sine, double Offset, double Correction) WithFrequency(ReadOnlySpan<float> samples, double turn, double cosine, double sine)
    {
        var solved = Solve(samples, turn, cosine, sine, Unknowns);
        return (solved[0], solved[1], solved[2], solved[3]);
    }

    /// <summary>Normal equations over the columns cos, sin, 1 and the slope of the sine over its frequency. Time runs from the middle, which keeps them well conditioned.</summary>
    private static double[] Solve(ReadOnlySpan<float> samples, double turn, double cosine, double sine, int unknowns)
    {
        var matrix = new double[unknowns, unknowns + 1];
        Span<double> row = stackalloc double[Unknowns];
        var middle = samples.Length / 2;
        for (var n = 0; n < samples.Length; n++)
        {
            var time = n - middle;
            var (s, c) = Math.SinCos(turn * time);
            row[0] = c;
            row[1] = s;
            row[2] = 1;
            row[3] = time * ((sine * c) - (cosine * s));
            for (var i = 0; i < unknowns; i++)
            {
                for (var j = 0; j < unknowns; j++)
                {
                    matrix[i, j] += row[i] * row[j];
                }

                matrix[i, unknowns] += row[i] * samples[n];
            }
        }

        return Eliminate(matrix, unknowns);
    }

    private static double[] Eliminate(double[,] matrix, int unknowns)
    {
        for (var pivot = 0; pivot < unknowns; pivot++)
        {
            for (var i = pivot + 1; i < unknowns; i++)
            {
                // a silent stretch has no slope over frequency; its correction is then nothing
                var factor = matrix[pivot, pivot] == 0 ? 0 : matrix[i, pivot] / matrix[pivot, pivot];
                for (var j = pivot; j <= unknowns; j++)
                {
                    matrix[i, j] -= factor * matrix[pivot, j];
                }
            }
        }

        var solved = new double[unknowns];
        for (var i = unknowns - 1; i >= 0; i--)
        {
            var value = matrix[i, unknowns];
            for (var j = i + 1; j < unknowns; j++)
            {
                value -= matrix[i, j] * solved[j];
            }

            solved[i] = matrix[i, i] == 0 ? 0 : value / matrix[i, i];
        }

        return solved;
    }

    /// <summary>Mean square of the second to fifth harmonic in what is left.</summary>
    private static double Harmonics(double[] residual, double turn)
    {
        var sum = 0.0;
        for (var harmonic = 2; harmonic <= 5 && harmonic * turn < Math.PI; harmonic++)
        {
            double re = 0, im = 0;
            for (var n = 0; n < residual.Length; n++)
            {
                var (s, c) = Math.SinCos(turn * harmonic * n);
                re += residual[n] * c;
                im += residual[n] * s;
            }

            sum += 2 * ((re * re) + (im * im)) / ((double)residual.Length * residual.Length);
        }

        return sum;
    }
}
