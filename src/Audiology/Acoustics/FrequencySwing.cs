namespace TeleHearing.Audiology.Acoustics;

/// <summary>How the frequency of a tone swings.</summary>
/// <param name="MeanHz">Middle of the swing in Hz.</param>
/// <param name="DeviationPercent">Half the swing from lowest to highest, in percent of the middle.</param>
/// <param name="RateHz">Swings each second.</param>
public sealed record FrequencySwing(double MeanHz, double DeviationPercent, double RateHz)
{
    private const int WindowPeriods = 8;

    /// <summary>Measures a warble tone.</summary>
    /// <param name="samples">A steady stretch with at least three whole swings.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    /// <param name="carrierHz">Frequency it should swing around, Hz.</param>
    /// <returns>The swing; absent when there are not three.</returns>
    /// <remarks>
    /// The frequency at a moment is the turn of the phase over one period of the carrier, once the carrier is brought down to 0 Hz (handbook). Each phase is taken from
    /// eight periods under a raised-cosine window, which keeps the image at twice the carrier out.
    /// </remarks>
    public static FrequencySwing? Measure(ReadOnlySpan<float> samples, double sampleRateHz, double carrierHz)
    {
        var period = (int)Math.Round(sampleRateHz / carrierHz);
        var hertz = Frequencies(samples, sampleRateHz, carrierHz, period);
        if (hertz.Length < 2)
        {
            return null;
        }

        var (lowest, highest) = (hertz.Min(), hertz.Max());
        var middle = (lowest + highest) / 2;
        var crossings = new List<int>();
        for (var n = 1; n < hertz.Length; n++)
        {
            if (hertz[n - 1] < middle && hertz[n] >= middle && (crossings.Count == 0 || n - crossings[^1] > period * 4))
            {
                crossings.Add(n);
            }
        }

        return crossings.Count < 4
            ? null
            : new FrequencySwing(middle, 100 * (highest - lowest) / 2 / middle, sampleRateHz * (crossings.Count - 1) / (crossings[^1] - crossings[0]));
    }

    private static double[] Frequencies(ReadOnlySpan<float> samples, double sampleRateHz, double carrierHz, int period)
    {
        var turn = Math.Tau * carrierHz / sampleRateHz;
        var window = new double[WindowPeriods * period];
        for (var n = 0; n < window.Length; n++)
        {
            window[n] = 1 - Math.Cos(Math.Tau * (n + 0.5) / window.Length);
        }

        var phasors = new System.Numerics.Complex[Math.Max(0, samples.Length - window.Length)];
        for (var at = 0; at < phasors.Length; at++)
        {
            phasors[at] = Phasor(samples.Slice(at, window.Length), window, turn, at);
        }

        var hertz = new double[Math.Max(0, phasors.Length - period)];
        for (var at = 0; at < hertz.Length; at++)
        {
            hertz[at] = carrierHz + ((phasors[at + period] * System.Numerics.Complex.Conjugate(phasors[at])).Phase / Math.Tau * sampleRateHz / period);
        }

        return hertz;
    }

    private static System.Numerics.Complex Phasor(ReadOnlySpan<float> samples, double[] window, double turn, int at)
    {
        double re = 0, im = 0;
        for (var n = 0; n < samples.Length; n++)
        {
            var (s, c) = Math.SinCos(turn * (at + n));
            re += window[n] * samples[n] * c;
            im -= window[n] * samples[n] * s;
        }

        return new System.Numerics.Complex(re, im);
    }
}
