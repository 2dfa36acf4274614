using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

/// <summary>The slow plain form of the bank, the oracle of the fast one: one band, one section, one sample after the other, direct form I, gains where they belong.</summary>
internal static class PlainBank
{
    public static double MeanSquare(BandPassSection[] sections, ReadOnlySpan<float> samples)
    {
        var signal = new double[samples.Length];
        for (var i = 0; i < signal.Length; i++)
        {
            signal[i] = samples[i];
        }

        foreach (var section in sections)
        {
            var output = new double[signal.Length];
            for (var i = 0; i < signal.Length; i++)
            {
                output[i] = (section.Gain * (signal[i] - (i >= 2 ? signal[i - 2] : 0)))
                    - (i >= 1 ? section.A1 * output[i - 1] : 0)
                    - (i >= 2 ? section.A2 * output[i - 2] : 0);
            }

            signal = output;
        }

        return signal.Average(value => value * value);
    }

    /// <summary>A band at a lower rate: plain convolution, every fourth sample, differences, poles and taps one after the other.</summary>
    public static double MeanSquare(DecimatedFilter filter, int factor, ReadOnlySpan<float> samples)
    {
        var signal = new double[samples.Length];
        for (var i = 0; i < signal.Length; i++)
        {
            signal[i] = samples[i];
        }

        for (var rate = 1; rate < factor; rate *= Decimator.Factor)
        {
            signal = Quartered(signal);
        }

        for (var k = 0; k < 4; k++)
        {
            signal = [.. signal.Select((value, i) => value - (i > 0 ? signal[i - 1] : 0))];
        }

        foreach (var (a1, a2) in filter.Poles)
        {
            for (var i = 0; i < signal.Length; i++)
            {
                signal[i] -= (i >= 1 ? a1 * signal[i - 1] : 0) + (i >= 2 ? a2 * signal[i - 2] : 0);
            }
        }

        return filter.PowerGain * Enumerable.Range(0, signal.Length)
            .Average(i => Math.Pow(filter.Taps.Select((tap, k) => i >= k ? tap * signal[i - k] : 0).Sum(), 2));
    }

    private static double[] Quartered(double[] signal)
    {
        var taps = Decimator.Taps;
        var output = new List<double>();
        for (var end = 0; end < signal.Length; end += Decimator.Factor)
        {
            var sum = 0.0;
            for (var k = 0; k < taps.Count; k++)
            {
                var place = end - (taps.Count - 1) + k;
                sum += place >= 0 ? taps[k] * signal[place] : 0;
            }

            output.Add(sum);
        }

        return [.. output];
    }
}
