namespace TeleHearing.Audiology.Acoustics;

/// <summary>The frequency weightings as IEC 61672-1 defines them, by formula.</summary>
/// <remarks>Annex E of IEC 61672-1:2013 (from memory; its printed table is reproduced to a tenth of a decibel, which a test holds).</remarks>
public static class WeightingCurves
{
    /// <summary>Double pole at the low end, Hz (20.60).</summary>
    public static double F1 { get; }

    /// <summary>Lower single pole of the A weighting, Hz (107.7).</summary>
    public static double F2 { get; }

    /// <summary>Upper single pole of the A weighting, Hz (737.9).</summary>
    public static double F3 { get; }

    /// <summary>Double pole at the high end, Hz (12 194).</summary>
    public static double F4 { get; }

#pragma warning disable CA1810 // The four poles come out of one computation.
    static WeightingCurves()
    {
        // The C weighting is 3 dB down at 10^1.5 and 10^3.9 Hz; the A weighting has a further high-pass, 3 dB down twice at 10^2.45 Hz.
        const double ReferenceHz = 1000;
        var (low, high, single) = (Math.Pow(10, 1.5), Math.Pow(10, 3.9), Math.Pow(10, 2.45));
        var root = Math.Sqrt(0.5);
        var b = ((ReferenceHz * ReferenceHz) + (low * low * high * high / (ReferenceHz * ReferenceHz)) - (root * ((low * low) + (high * high)))) / (1 - root);
        var c = low * low * high * high;
        var discriminant = Math.Sqrt((b * b) - (4 * c));
        F1 = Math.Sqrt((-b - discriminant) / 2);
        F4 = Math.Sqrt((-b + discriminant) / 2);
        F2 = (3 - Math.Sqrt(5)) / 2 * single;
        F3 = (3 + Math.Sqrt(5)) / 2 * single;
    }
#pragma warning restore CA1810

    /// <summary>Weighting in dB, 0 at 1 kHz.</summary>
    /// <param name="weighting">Which one.</param>
    /// <param name="hertz">Frequency in Hz, above zero.</param>
    public static double Db(FrequencyWeighting weighting, double hertz) => weighting switch
    {
        FrequencyWeighting.A => 20 * Math.Log10(AMagnitude(hertz) / AMagnitude(1000)),
        FrequencyWeighting.C => 20 * Math.Log10(CMagnitude(hertz) / CMagnitude(1000)),
        _ => 0,
    };

    /// <summary>Magnitude of the double pole at the high end, 1 at zero frequency.</summary>
    internal static double HighEndMagnitude(double hertz) => F4 * F4 / ((hertz * hertz) + (F4 * F4));

    private static double CMagnitude(double hertz) => hertz * hertz / ((hertz * hertz) + (F1 * F1)) * HighEndMagnitude(hertz);

    private static double AMagnitude(double hertz) =>
        CMagnitude(hertz) * hertz * hertz / (Math.Sqrt((hertz * hertz) + (F2 * F2)) * Math.Sqrt((hertz * hertz) + (F3 * F3)));
}
