namespace TeleHearing.Audiology.Acoustics;

/// <summary>The octave bands from 31.5 Hz to 16 kHz (IEC 61260-1, base ten: an octave is a factor of 10^(3/10)).</summary>
public static class OctaveBands
{
    private static readonly double[] _all = [31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000];

    /// <summary>Nominal mid-band frequencies in Hz, ascending.</summary>
    public static IReadOnlyList<double> All { get; } = Array.AsReadOnly(_all);

    /// <summary>Exact mid-band frequency in Hz of a nominal one: 1000 times a power of 10^(3/10).</summary>
    /// <exception cref="ArgumentOutOfRangeException">Not one of <see cref="All"/>.</exception>
    public static double ExactMidband(double nominalHz) => Array.IndexOf(_all, nominalHz) >= 0
        ? ThirdOctaveBands.ExactMidband(nominalHz)
        : throw new ArgumentOutOfRangeException(nameof(nominalHz), nominalHz, $"Not an octave band. Use one of {string.Join(", ", _all)} Hz.");

    /// <summary>Lower and upper edge in Hz of a nominal band: half an octave, a factor of 10^(3/20), to either side.</summary>
    public static (double LowerHz, double UpperHz) Edges(double nominalHz)
    {
        var midband = ExactMidband(nominalHz);
        var half = Math.Pow(10, 3.0 / 20);
        return (midband / half, midband * half);
    }
}
