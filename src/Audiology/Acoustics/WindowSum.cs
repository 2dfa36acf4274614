using System.Numerics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>Sum of values under a window.</summary>
internal static class WindowSum
{
    public static double Of(ReadOnlySpan<double> window, ReadOnlySpan<double> values)
    {
        var sums = Vector<double>.Zero;
        var width = Vector<double>.Count;
        var n = 0;
        for (; n + width <= window.Length; n += width)
        {
            sums += new Vector<double>(window[n..]) * new Vector<double>(values[n..]);
        }

        var sum = Vector.Sum(sums);
        for (; n < window.Length; n++)
        {
            sum += window[n] * values[n];
        }

        return sum;
    }
}
