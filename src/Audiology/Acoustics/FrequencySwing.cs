namespace TeleHearing.Audiology.Acoustics;

/// <summary>How the frequency of a tone swings.</summary>
/// <param name="MeanHz">Middle of the swing in Hz.</param>
/// <param name="DeviationPercent">Half the swing from lowest to highest, in percent of the middle.</param>
/// <param name="RateHz">Swings each second.</param>
public sealed record FrequencySwing(double MeanHz, double DeviationPercent, double RateHz)
{
    /// <summary>Periods over which a phase is taken: with more a wide swing would leave the window's band, with fewer the image at twice the carrier would come in.</summary>
    private const double WindowPeriods = 3;

    /// <summary>Averaging of the frequency found, ms: short beside the fastest swing of 50 ms (design).</summary>
    private const double SmoothingMs = 2;

    /// <summary>Measures a warble tone.</summary>
    /// <param name="samples">A steady stretch with at least three whole swings.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="carrierHz">Frequency it should swing around, Hz.</param>
    /// <returns>The swing; absent when there are not three.</returns>
    /// <remarks>
    /// The frequency at a moment is the turn of the phase over about one period of the carrier, once the carrier is brought down to 0 Hz (handbook). Each phase is taken under
    /// a raised-cosine window of three periods, which keeps the image at twice the carrier out at any frequency. What window, turn and averaging take from a swing of the rate found is put back
    /// (transform of the raised cosine and of the rectangle, handbook).
    /// </remarks>
    public static FrequencySwing? Measure(ReadOnlySpan<float> samples, double sampleRateHz, double carrierHz)
    {
        var lag = Math.Max(1, (int)Math.Round(sampleRateHz / carrierHz));
        var length = (int)Math.Round(sampleRateHz * WindowPeriods / carrierHz);
        var smoothing = (int)Math.Round(sampleRateHz * SmoothingMs / 1000);
        var hertz = Smooth(Frequencies(samples, sampleRateHz, carrierHz, lag, length), smoothing);
        if (hertz.Length < 2)
        {
            return null;
        }

        var (lowest, highest) = (hertz.Min(), hertz.Max());
        var middle = (lowest + highest) / 2;
        var rises = Rises(hertz, middle, (highest - lowest) / 8);
        if (rises.Count < 4)
        {
            return null;
        }

        var rate = sampleRateHz * (rises.Count - 1) / (rises[^1] - rises[0]);
        var kept = RaisedCosine(rate * length / sampleRateHz) * RaisedCosine(rate * smoothing / sampleRateHz) * Sinc(rate * lag / sampleRateHz);
        return new FrequencySwing(middle, 100 * (highest - lowest) / 2 / middle / kept, rate);
    }

    /// <summary>Where the frequency rises through its middle, each time after it was well below it.</summary>
    private static List<int> Rises(double[] hertz, double middle, double well)
    {
        var (rises, low, crossed) = (new List<int>(), false, 0);
        for (var n = 1; n < hertz.Length; n++)
        {
            low |= hertz[n] < middle - well;
            crossed = hertz[n - 1] < middle && hertz[n] >= middle ? n : crossed;
            if (low && hertz[n] > middle + well)
            {
                rises.Add(crossed);
                low = false;
            }
        }

        return rises;
    }

    private static double[] Smooth(double[] values, int length)
    {
        var window = Window(length);
        var sum = window.Sum();
        var smooth = new double[Math.Max(0, values.Length - length)];
        for (var at = 0; at < smooth.Length; at++)
        {
            smooth[at] = WindowSum.Of(window, values.AsSpan(at, length)) / sum;
        }

        return smooth;
    }

    private static double[] Window(int length)
    {
        var window = new double[length];
        for (var n = 0; n < length; n++)
        {
            window[n] = 1 - Math.Cos(Math.Tau * (n + 0.5) / length);
        }

        return window;
    }

    /// <summary>What a raised-cosine window leaves of a swing that goes round this many times in it.</summary>
    private static double RaisedCosine(double turns) => Sinc(turns) / (1 - (turns * turns));

    private static double Sinc(double x) => x == 0 ? 1 : Math.Sin(Math.PI * x) / (Math.PI * x);

    private static double[] Frequencies(ReadOnlySpan<float> samples, double sampleRateHz, double carrierHz, int lag, int length)
    {
        var turn = Math.Tau * carrierHz / sampleRateHz;
        var window = Window(length);
        var (real, imaginary) = (new double[samples.Length], new double[samples.Length]);
        for (var n = 0; n < samples.Length; n++)
        {
            var (s, c) = Math.SinCos(turn * n);
            (real[n], imaginary[n]) = (samples[n] * c, -samples[n] * s);
        }

        var phasors = new System.Numerics.Complex[Math.Max(0, samples.Length - length)];
        for (var at = 0; at < phasors.Length; at++)
        {
            phasors[at] = new System.Numerics.Complex(WindowSum.Of(window, real.AsSpan(at, length)), WindowSum.Of(window, imaginary.AsSpan(at, length)));
        }

        var hertz = new double[Math.Max(0, phasors.Length - lag)];
        for (var at = 0; at < hertz.Length; at++)
        {
            hertz[at] = carrierHz + ((phasors[at + lag] * System.Numerics.Complex.Conjugate(phasors[at])).Phase / Math.Tau * sampleRateHz / lag);
        }

        return hertz;
    }
}
