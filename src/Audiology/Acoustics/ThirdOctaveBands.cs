namespace TeleHearing.Audiology.Acoustics;

/// <summary>The one-third-octave bands from 25 Hz to 16 kHz (IEC 61260-1, base ten).</summary>
public static class ThirdOctaveBands
{
    private const int IndexOfOneKilohertz = 16;

    private static readonly double[] _all =
    [
        25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10_000, 12_500, 16_000,
    ];

    /// <summary>Nominal mid-band frequencies in Hz, ascending, 25 Hz to 16 kHz.</summary>
    public static IReadOnlyList<double> All { get; } = Array.AsReadOnly(_all);

    /// <summary>The bands in which room noise is judged for air and bone conduction, 31.5 Hz to 8 kHz (ISO 8253-1:2010, Tables 2 and 4).</summary>
    public static IReadOnlyList<double> Nominal { get; } = Array.AsReadOnly(_all[1..26]);

    /// <summary>Exact mid-band frequency in Hz of a nominal one: 1000 times a power of 10^(1/10).</summary>
    /// <exception cref="ArgumentOutOfRangeException">Not one of <see cref="All"/>.</exception>
    public static double ExactMidband(double nominalHz)
    {
        var index = Array.IndexOf(_all, nominalHz);
        return index >= 0
            ? 1000 * Math.Pow(10, (index - IndexOfOneKilohertz) / 10.0)
            : throw new ArgumentOutOfRangeException(nameof(nominalHz), nominalHz, $"Not a third-octave band. Use one of {string.Join(", ", _all)} Hz.");
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
        foreach (var nominal in _all)
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
