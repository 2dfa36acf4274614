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
}
