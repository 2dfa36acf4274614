namespace TeleHearing.Audiology.Acoustics;

/// <summary>The third-octave bands from 31.5 Hz to 8 kHz (IEC 61260-1, base ten).</summary>
public static class ThirdOctaveBands
{
    private static readonly double[] _nominal =
    [
        31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000,
    ];

    /// <summary>Nominal mid-band frequencies in Hz, ascending.</summary>
    public static IReadOnlyList<double> Nominal { get; } = Array.AsReadOnly(_nominal);

    /// <summary>Exact mid-band frequency in Hz of a nominal one: 1000 times a power of 10^(1/10).</summary>
    /// <exception cref="ArgumentOutOfRangeException">Not one of <see cref="Nominal"/>.</exception>
    public static double ExactMidband(double nominalHz)
    {
        var index = Array.IndexOf(_nominal, nominalHz);
        return index >= 0
            ? 1000 * Math.Pow(10, (index - 15) / 10.0)
            : throw new ArgumentOutOfRangeException(nameof(nominalHz), nominalHz, $"Not a third-octave band. Use one of {string.Join(", ", _nominal)} Hz.");
    }

    /// <summary>Lower and upper edge in Hz of a nominal band: half a band, a factor of 10^(1/20), to either side.</summary>
    public static (double LowerHz, double UpperHz) Edges(double nominalHz)
    {
        var midband = ExactMidband(nominalHz);
        var half = Math.Pow(10, 1.0 / 20);
        return (midband / half, midband * half);
    }

    /// <summary>Nominal band that contains a frequency; absent below the lowest or above the highest.</summary>
    public static double? Containing(double frequencyHz)
    {
        foreach (var nominal in _nominal)
        {
            var (lower, upper) = Edges(nominal);
            if (frequencyHz >= lower && frequencyHz < upper)
            {
                return nominal;
            }
        }

        return null;
    }
}
