using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>Takes every fourth sample of a signal, after a linear-phase low-pass that keeps out what would fold into the bands measured at the lower rate.</summary>
/// <remarks>
/// Flat within 0.0002 dB up to <see cref="PassBand"/> of the lower rate; what would fold there from above is held down by about 100 dB (Kaiser window; tested). Any
/// blocks give the same samples.
/// </remarks>
internal sealed class Decimator
{
    /// <summary>Input samples for one output sample.</summary>
    public const int Factor = 4;

    /// <summary>Highest frequency kept, of the lower rate.</summary>
    public const double PassBand = 0.236;

    /// <summary>Taps that are not zero.</summary>
    public const int TapCount = 52;

    private const int PaddedTaps = 56;
    private const double StopBandDb = 100;

    private static readonly double[] _taps = Design();
    private readonly double[] _line;
    private int _held = PaddedTaps - 1;

    /// <param name="mostFrames">Most samples taken in at once.</param>
    public Decimator(int mostFrames) => _line = new double[PaddedTaps + Factor + mostFrames];

    /// <summary>The taps, oldest sample first, zeros in front.</summary>
    public static IReadOnlyList<double> Taps => _taps;

    /// <summary>Takes in samples and returns how many came out.</summary>
    public int Process(ReadOnlySpan<double> samples, Span<double> into)
    {
        samples.CopyTo(_line.AsSpan(_held));
        var held = _held + samples.Length;
        var count = held < PaddedTaps ? 0 : ((held - PaddedTaps) / Factor) + 1;
        if (Vector512.IsHardwareAccelerated)
        {
            Filter512(_line, into[..count]);
        }
        else
        {
            Filter256(_line, into[..count]);
        }

        _line.AsSpan(count * Factor, held - (count * Factor)).CopyTo(_line);
        _held = held - (count * Factor);
        return count;
    }

    /// <summary>Forgets everything.</summary>
    public void Reset()
    {
        Array.Clear(_line);
        _held = PaddedTaps - 1;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Filter512(double[] line, Span<double> into)
    {
        ref var tap = ref _taps[0];
        var (c0, c1, c2, c3) = (Vector512.LoadUnsafe(ref tap), Vector512.LoadUnsafe(ref tap, 8), Vector512.LoadUnsafe(ref tap, 16), Vector512.LoadUnsafe(ref tap, 24));
        var (c4, c5, c6) = (Vector512.LoadUnsafe(ref tap, 32), Vector512.LoadUnsafe(ref tap, 40), Vector512.LoadUnsafe(ref tap, 48));
        for (var i = 0; i < into.Length; i++)
        {
            ref var x = ref line[i * Factor];
            var even = Vector512.LoadUnsafe(ref x) * c0;
            var odd = Vector512.LoadUnsafe(ref x, 8) * c1;
            even = Vector512.MultiplyAddEstimate(Vector512.LoadUnsafe(ref x, 16), c2, even);
            odd = Vector512.MultiplyAddEstimate(Vector512.LoadUnsafe(ref x, 24), c3, odd);
            even = Vector512.MultiplyAddEstimate(Vector512.LoadUnsafe(ref x, 32), c4, even);
            odd = Vector512.MultiplyAddEstimate(Vector512.LoadUnsafe(ref x, 40), c5, odd);
            even = Vector512.MultiplyAddEstimate(Vector512.LoadUnsafe(ref x, 48), c6, even);
            into[i] = Vector512.Sum(even + odd);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Filter256(double[] line, Span<double> into)
    {
        ref var tap = ref _taps[0];
        for (var i = 0; i < into.Length; i++)
        {
            ref var x = ref line[i * Factor];
            var even = Vector256<double>.Zero;
            var odd = Vector256<double>.Zero;
            for (nuint k = 0; k < PaddedTaps; k += 8)
            {
                even = Vector256.MultiplyAddEstimate(Vector256.LoadUnsafe(ref x, k), Vector256.LoadUnsafe(ref tap, k), even);
                odd = Vector256.MultiplyAddEstimate(Vector256.LoadUnsafe(ref x, k + 4), Vector256.LoadUnsafe(ref tap, k + 4), odd);
            }

            into[i] = Vector256.Sum(even + odd);
        }
    }

    // Windowed sinc, cut off half way between what is kept and what would fold into it, unity at zero frequency (Oppenheim and Schafer, 7.5; Kaiser's formula for beta).
    private static double[] Design()
    {
        const double Cutoff = 0.5 / Factor;
        const double Beta = 0.1102 * (StopBandDb - 8.7);
        var taps = new double[PaddedTaps];
        var sum = 0.0;
        for (var n = 0; n < TapCount; n++)
        {
            var t = n - ((TapCount - 1) / 2.0);
            var place = 2 * t / (TapCount - 1);
            var angle = Math.PI * 2 * Cutoff * t;
            var tap = Math.Sin(angle) / angle * Bessel(Beta * Math.Sqrt(1 - (place * place)));
            taps[PaddedTaps - TapCount + n] = tap;
            sum += tap;
        }

        return [.. taps.Select(tap => tap / sum)];
    }

    // Modified Bessel function of the first kind and order zero, by its series.
    private static double Bessel(double x)
    {
        var (sum, term) = (1.0, 1.0);
        for (var k = 1; term > sum * 1e-18; k++)
        {
            term *= x / (2 * k) * (x / (2 * k));
            sum += term;
        }

        return sum;
    }
}
