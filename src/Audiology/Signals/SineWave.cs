using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace TeleHearing.Audiology.Signals;

/// <summary>Sines of many phases at once.</summary>
/// <remarks>
/// The phase, in cycles, is brought to the nearest whole cycle and then, since sin(pi - x) = sin x, to a quarter of a cycle to either side; there the Taylor series up to
/// the 15th power is within x^17 / 17! = 6e-12 of the sine (-224 dB), far less than 32-bit samples resolve (-150 dB). Every lane does the same multiplications and fused additions
/// whatever its place, so a frame has the same sample in every block, with any width of the processor's registers.
/// </remarks>
internal static class SineWave
{
    private const double T1 = Math.Tau;
    private const double T3 = -T1 * T1 * T1 / 6;
    private const double T5 = -T3 * T1 * T1 / (4 * 5);
    private const double T7 = -T5 * T1 * T1 / (6 * 7);
    private const double T9 = -T7 * T1 * T1 / (8 * 9);
    private const double T11 = -T9 * T1 * T1 / (10 * 11);
    private const double T13 = -T11 * T1 * T1 / (12 * 13);
    private const double T15 = -T13 * T1 * T1 / (14 * 15);

    private static readonly Vector512<double> _lanes = Vector512.Create(0.0, 1, 2, 3, 4, 5, 6, 7);

    /// <summary>Fills with <c>amplitude sin(2 pi cyclesPerFrame n)</c>, n counting from <paramref name="firstFrame"/>.</summary>
    public static void Fill(Span<double> samples, long firstFrame, double cyclesPerFrame, double amplitude)
    {
        var frames = Vector512.Create((double)firstFrame) + _lanes;
        var eight = Vector512.Create(8.0);
        var place = 0;
        for (; place <= samples.Length - 8; place += 8)
        {
            (amplitude * Sine(frames * cyclesPerFrame)).CopyTo(samples[place..]);
            frames += eight;
        }

        if (place < samples.Length)
        {
            Span<double> rest = stackalloc double[8];
            (amplitude * Sine(frames * cyclesPerFrame)).CopyTo(rest);
            rest[..(samples.Length - place)].CopyTo(samples[place..]);
        }
    }

    /// <summary>Replaces each phase in cycles by <c>amplitude sin(2 pi phase)</c>.</summary>
    public static void OfCycles(Span<double> phases, double amplitude)
    {
        var place = 0;
        for (; place <= phases.Length - 8; place += 8)
        {
            (amplitude * Sine(Vector512.Create<double>(phases[place..]))).CopyTo(phases[place..]);
        }

        if (place < phases.Length)
        {
            Span<double> rest = stackalloc double[8];
            phases[place..].CopyTo(rest);
            (amplitude * Sine(Vector512.Create<double>(rest))).CopyTo(rest);
            rest[..(phases.Length - place)].CopyTo(phases[place..]);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector512<double> Sine(Vector512<double> cycles)
    {
        var part = cycles - Vector512.Round(cycles);
        var half = Vector512.CopySign(Vector512.Create(0.5), part);
        var r = Vector512.ConditionalSelect(Vector512.GreaterThan(Vector512.Abs(part), Vector512.Create(0.25)), half - part, part);
        var square = r * r;
        var sum = Vector512.Create(T15);
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T13));
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T11));
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T9));
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T7));
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T5));
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T3));
        sum = Vector512.FusedMultiplyAdd(sum, square, Vector512.Create(T1));
        return sum * r;
    }
}
