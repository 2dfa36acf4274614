using System.Numerics;
using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

/// <summary>The response of sections, from their coefficients.</summary>
internal static class FilterResponse
{
    public static double Db(IReadOnlyList<BandPassSection> sections, double hertz, double sampleRateHz)
    {
        var z = Complex.FromPolarCoordinates(1, -Math.Tau * hertz / sampleRateHz);
        var response = sections.Aggregate(
            Complex.One,
            (product, section) => product * section.Gain * (1 - (z * z)) / (1 + (section.A1 * z) + (section.A2 * z * z)));
        return 20 * Math.Log10(response.Magnitude);
    }
}
