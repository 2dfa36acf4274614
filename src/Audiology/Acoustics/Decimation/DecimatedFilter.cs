using System.Numerics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>The same band-pass filter carried out on every Nth sample only: its own poles to the Nth power, four zeros at zero frequency, and a short finite filter that makes up the rest.</summary>
/// <remarks>
/// A filter far below half the sample rate has no use for all samples. Taking the poles to the Nth power is exact; the finite filter is fitted to the response of the
/// full-rate filter, gain and phase, by least squares of the relative error. A design is used only where it follows that response within <see cref="MostErrorDb"/>
/// throughout the band.
/// </remarks>
/// <param name="Poles">A1 and A2 of each section at the lower rate.</param>
/// <param name="Taps">Five taps of the finite filter, newest sample first, divided by the middle one.</param>
/// <param name="PowerGain">What the energy of the output is multiplied with.</param>
internal sealed record DecimatedFilter(IReadOnlyList<(double A1, double A2)> Poles, IReadOnlyList<double> Taps, double PowerGain)
{
    /// <summary>Largest deviation from the full-rate filter between the band edges, dB.</summary>
    public const double MostErrorDb = 0.003;

    private const int TapCount = 5;
    private const int Points = 121;

    /// <summary>The fit spans this factor to either side of midband.</summary>
    private const double Span = 1.5;

    /// <summary>Below this magnitude the relative error counts for less.</summary>
    private const double FaintMagnitude = 0.01;

    /// <summary>Makes the filter for every Nth sample; absent where the band lies too high for that, or cannot be followed closely enough.</summary>
    /// <param name="sections">The full-rate filter.</param>
    /// <param name="lowerHz">Lower edge in Hz.</param>
    /// <param name="upperHz">Upper edge in Hz.</param>
    /// <param name="sampleRateHz">Full rate in Hz.</param>
    /// <param name="factor">N.</param>
    public static DecimatedFilter? Find(IReadOnlyList<BandPassSection> sections, double lowerHz, double upperHz, double sampleRateHz, int factor)
    {
        if (upperHz > Decimator.PassBand * sampleRateHz / factor || sections.Any(section => section.A1 * section.A1 >= 4 * section.A2))
        {
            return null;
        }

        (double A1, double A2)[] poles = [.. sections.Select(section =>
        {
            var pole = Complex.Pow(new Complex(-section.A1 / 2, Math.Sqrt(section.A2 - (section.A1 * section.A1 / 4))), factor);
            return (-2 * pole.Real, (pole.Real * pole.Real) + (pole.Imaginary * pole.Imaginary));
        })];
        var midband = Math.Sqrt(lowerHz * upperHz);
        var highest = 0.49 * sampleRateHz / factor;
        double[] fitted = [.. Enumerable.Range(0, Points).Select(i => midband * Math.Pow(Span, (2.0 * i / (Points - 1)) - 1)).Where(hertz => hertz < highest)];
        var taps = Fit(sections, poles, fitted, sampleRateHz, factor);
        var error = fitted.Where(hertz => hertz >= lowerHz && hertz <= upperHz).Max(hertz =>
            Math.Abs(20 * Math.Log10((Basis(poles, hertz, sampleRateHz, factor) * Finite(taps, hertz, sampleRateHz, factor)).Magnitude / Wanted(sections, hertz, sampleRateHz).Magnitude)));
        var middle = taps[TapCount / 2];
        return error <= MostErrorDb ? new DecimatedFilter(poles, [.. taps.Select(tap => tap / middle)], middle * middle) : null;
    }

    private static double[] Fit(IReadOnlyList<BandPassSection> sections, (double A1, double A2)[] poles, double[] frequencies, double sampleRateHz, int factor)
    {
        // Normal equations of least squares over real and imaginary parts.
        var rows = Enumerable.Range(0, TapCount).Select(_ => new double[TapCount]).ToArray();
        var right = new double[TapCount];
        foreach (var hertz in frequencies)
        {
            var wanted = Wanted(sections, hertz, sampleRateHz);
            var weight = 1 / Math.Max(wanted.Magnitude, FaintMagnitude);
            var basis = Basis(poles, hertz, sampleRateHz, factor);
            var delay = Complex.FromPolarCoordinates(1, -Math.Tau * hertz * factor / sampleRateHz);
            var parts = Enumerable.Range(0, TapCount).Select(k => weight * basis * Complex.Pow(delay, k)).ToArray();
            wanted *= weight;
            for (var i = 0; i < TapCount; i++)
            {
                right[i] += (parts[i].Real * wanted.Real) + (parts[i].Imaginary * wanted.Imaginary);
                for (var j = 0; j < TapCount; j++)
                {
                    rows[i][j] += (parts[i].Real * parts[j].Real) + (parts[i].Imaginary * parts[j].Imaginary);
                }
            }
        }

        return LinearEquations.Solve(rows, right);
    }

    private static Complex Wanted(IReadOnlyList<BandPassSection> sections, double hertz, double sampleRateHz)
    {
        var delay = Complex.FromPolarCoordinates(1, -Math.Tau * hertz / sampleRateHz);
        var numerator = 1 - (delay * delay);
        return sections.Aggregate(Complex.One, (product, section) => product * section.Gain * numerator / (1 + (section.A1 * delay) + (section.A2 * delay * delay)));
    }

    private static Complex Basis((double A1, double A2)[] poles, double hertz, double sampleRateHz, int factor)
    {
        var delay = Complex.FromPolarCoordinates(1, -Math.Tau * hertz * factor / sampleRateHz);
        return poles.Aggregate(Complex.One, (product, pole) => product * (1 - delay) / (1 + (pole.A1 * delay) + (pole.A2 * delay * delay)));
    }

    private static Complex Finite(double[] taps, double hertz, double sampleRateHz, int factor)
    {
        var delay = Complex.FromPolarCoordinates(1, -Math.Tau * hertz * factor / sampleRateHz);
        return taps.Select((tap, k) => tap * Complex.Pow(delay, k)).Aggregate((sum, part) => sum + part);
    }
}
