using System.Numerics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>One second-order section with zeros at zero frequency and at half the sample rate: y = Gain (x - x[-2]) - A1 y[-1] - A2 y[-2].</summary>
internal readonly record struct BandPassSection(double Gain, double A1, double A2);

/// <summary>Designs digital Butterworth band-pass filters as second-order sections.</summary>
/// <remarks>
/// Low-pass prototype, low-pass to band-pass transformation, bilinear transformation with prewarped edges, so that the band edges lie at exactly
/// -3.01 dB (Oppenheim and Schafer, Discrete-Time Signal Processing, chapter 7).
/// </remarks>
internal static class ButterworthBandPass
{
    /// <summary>Designs a filter.</summary>
    /// <param name="prototypeOrder">Order of the low-pass prototype; the band-pass has twice as many poles, in this many sections. Odd or even.</param>
    /// <param name="lowerHz">Lower -3 dB edge in Hz.</param>
    /// <param name="upperHz">Upper -3 dB edge in Hz, below half the sample rate.</param>
    /// <param name="sampleRateHz">Sample rate in Hz.</param>
    public static BandPassSection[] Design(int prototypeOrder, double lowerHz, double upperHz, double sampleRateHz)
    {
        if (!(lowerHz > 0 && upperHz > lowerHz && upperHz < sampleRateHz / 2))
        {
            throw new ArgumentOutOfRangeException(nameof(upperHz), upperHz, "The band must lie between zero and half the sample rate.");
        }

        // In the unit s' = s / (2 fs), where the bilinear transformation is s' = (z - 1) / (z + 1).
        var lower = Math.Tan(Math.PI * lowerHz / sampleRateHz);
        var upper = Math.Tan(Math.PI * upperHz / sampleRateHz);
        var centreSquared = lower * upper;
        var width = upper - lower;
        var midband = 2 * Math.Atan(Math.Sqrt(centreSquared));
        return [.. UpperHalfPoles(prototypeOrder, width, centreSquared).Select(pole => Section(pole, midband))];
    }

    // Each prototype pole p gives the two roots of s^2 - p W s + C = 0. Of all roots, those above the real axis have their conjugates among the rest,
    // and each such pair makes a section.
    private static IEnumerable<Complex> UpperHalfPoles(int order, double width, double centreSquared)
    {
        for (var k = 0; k < order; k++)
        {
            var angle = Math.PI * ((2 * k) + order + 1) / (2.0 * order);
            var scaled = Complex.FromPolarCoordinates(width, angle);
            var root = Complex.Sqrt((scaled * scaled) - (4 * centreSquared));
            foreach (var pole in new[] { (scaled + root) / 2, (scaled - root) / 2 })
            {
                if (pole.Imaginary > 0)
                {
                    yield return pole;
                }
            }
        }
    }

    private static BandPassSection Section(Complex analoguePole, double midband)
    {
        var pole = (1 + analoguePole) / (1 - analoguePole);
        var a1 = -2 * pole.Real;
        var a2 = (pole.Real * pole.Real) + (pole.Imaginary * pole.Imaginary);

        // The product of all sections is 1 at midband (the Butterworth maximum), and so is each section made to be.
        var z = Complex.FromPolarCoordinates(1, midband);
        var response = (1 - (1 / (z * z))) / (1 + (a1 / z) + (a2 / (z * z)));
        return new BandPassSection(1 / response.Magnitude, a1, a2);
    }
}
