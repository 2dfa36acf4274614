using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>Makes the lane groups for this machine.</summary>
internal static class LaneGroups
{
    /// <summary>Packs filters into lanes.</summary>
    /// <param name="filters">The sections of each filter, <see cref="BandBank.PrototypeOrder"/> of them.</param>
    /// <param name="width">Width of the vectors; one the machine lacks is carried out in pieces, slowly but with the same results.</param>
    public static ILaneGroups Create(BandPassSection[][] filters, LaneWidth width) => width switch
    {
        LaneWidth.Bits512 => new LaneGroups<Lanes512, Vector512<double>>(filters),
        LaneWidth.Bits256 => new LaneGroups<Lanes256, Vector256<double>>(filters),
        LaneWidth.Bits128 => new LaneGroups<Lanes128, Vector128<double>>(filters),
        _ when Vector512.IsHardwareAccelerated => new LaneGroups<Lanes512, Vector512<double>>(filters),
        _ when Vector256.IsHardwareAccelerated => new LaneGroups<Lanes256, Vector256<double>>(filters),
        _ => new LaneGroups<Lanes128, Vector128<double>>(filters),
    };

    /// <summary>Packs filters of a lower rate into lanes.</summary>
    public static ILaneGroups Create(IReadOnlyList<DecimatedFilter> filters, LaneWidth width) => width switch
    {
        LaneWidth.Bits512 => new AllPoleGroups<Lanes512, Vector512<double>>(filters),
        LaneWidth.Bits256 => new AllPoleGroups<Lanes256, Vector256<double>>(filters),
        LaneWidth.Bits128 => new AllPoleGroups<Lanes128, Vector128<double>>(filters),
        _ when Vector512.IsHardwareAccelerated => new AllPoleGroups<Lanes512, Vector512<double>>(filters),
        _ when Vector256.IsHardwareAccelerated => new AllPoleGroups<Lanes256, Vector256<double>>(filters),
        _ => new AllPoleGroups<Lanes128, Vector128<double>>(filters),
    };
}

/// <summary>Filters of four sections in the lanes of vectors of one width.</summary>
/// <remarks>
/// <para>
/// Each section is the transposed direct form II of (1 - z^-2) / (1 + A1 z^-1 + A2 z^-2) with both states negated, which leaves one subtraction and two fused
/// multiplications with addition: y = x - s; s = A1 y + t; t = A2 y + x.
/// </para>
/// <para>
/// Such a step waits for the one before. The four sections of a group fill most of the wait by themselves, since the next sample enters the first section while
/// this one is still in the last; where the machine has registers enough, a second group in the same loop fills the rest. Without them it would cost more than it gains.
/// </para>
/// </remarks>
internal sealed class LaneGroups<TLanes, TVector> : ILaneGroups
    where TLanes : struct, ILaneArithmetic<TVector>
    where TVector : struct
{
    // Rows of a group, each one vector wide: A1 of four sections, A2, s, t, and the sum of squares.
    private const int A1 = 0;
    private const int A2 = 4;
    private const int S = 8;
    private const int T = 12;
    private const int Sum = 16;
    private const int Rows = 17;

    private static readonly int _lanes = TLanes.Lanes;
    private readonly double[][] _groups;

    public LaneGroups(BandPassSection[][] filters)
    {
        _groups = new double[(filters.Length + _lanes - 1) / _lanes][];
        for (var group = 0; group < _groups.Length; group++)
        {
            var rows = new double[Rows * _lanes];
            for (var lane = 0; lane < _lanes; lane++)
            {
                // Lanes left over repeat the last filter and are never read.
                var sections = filters[Math.Min((group * _lanes) + lane, filters.Length - 1)];
                for (var section = 0; section < BandBank.PrototypeOrder; section++)
                {
                    rows[((A1 + section) * _lanes) + lane] = sections[section].A1;
                    rows[((A2 + section) * _lanes) + lane] = sections[section].A2;
                }
            }

            _groups[group] = rows;
        }
    }

    public void Process(ReadOnlySpan<double> samples)
    {
        var group = 0;
        for (; TLanes.HasRegistersForTwo && group + 1 < _groups.Length; group += 2)
        {
            ProcessTwo(samples, _groups[group], _groups[group + 1]);
        }

        for (; group < _groups.Length; group++)
        {
            ProcessOne(samples, _groups[group]);
        }

        foreach (var rows in _groups)
        {
            LaneStates.Flush(rows.AsSpan(S * _lanes, 8 * _lanes));
        }
    }

    public double Energy(int filter) => _groups[filter / _lanes][(Sum * _lanes) + (filter % _lanes)];

    public void ResetEnergy() => LaneStates.ClearFrom(_groups, Sum * _lanes);

    public void Reset() => LaneStates.ClearFrom(_groups, S * _lanes);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Load(double[] rows, int row) => TLanes.Load(ref rows[row * TLanes.Lanes]);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Store(TVector vector, double[] rows, int row) => TLanes.Store(vector, ref rows[row * TLanes.Lanes]);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Step(TVector x, TVector a1, TVector a2, ref TVector s, ref TVector t)
    {
        var y = TLanes.Subtract(x, s);
        s = TLanes.MultiplyAdd(a1, y, t);
        t = TLanes.MultiplyAdd(a2, y, x);
        return y;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void ProcessOne(ReadOnlySpan<double> samples, double[] rows)
    {
        var (p0, p1, p2, p3) = (Load(rows, A1), Load(rows, A1 + 1), Load(rows, A1 + 2), Load(rows, A1 + 3));
        var (q0, q1, q2, q3) = (Load(rows, A2), Load(rows, A2 + 1), Load(rows, A2 + 2), Load(rows, A2 + 3));
        var (s0, s1, s2, s3) = (Load(rows, S), Load(rows, S + 1), Load(rows, S + 2), Load(rows, S + 3));
        var (t0, t1, t2, t3) = (Load(rows, T), Load(rows, T + 1), Load(rows, T + 2), Load(rows, T + 3));
        var sum = Load(rows, Sum);
        foreach (var sample in samples)
        {
            var y = Step(TLanes.Spread(sample), p0, q0, ref s0, ref t0);
            y = Step(y, p1, q1, ref s1, ref t1);
            y = Step(y, p2, q2, ref s2, ref t2);
            y = Step(y, p3, q3, ref s3, ref t3);
            sum = TLanes.MultiplyAdd(y, y, sum);
        }

        Store(s0, rows, S);
        Store(s1, rows, S + 1);
        Store(s2, rows, S + 2);
        Store(s3, rows, S + 3);
        Store(t0, rows, T);
        Store(t1, rows, T + 1);
        Store(t2, rows, T + 2);
        Store(t3, rows, T + 3);
        Store(sum, rows, Sum);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void ProcessTwo(ReadOnlySpan<double> samples, double[] a, double[] b)
    {
        var (p0, p1, p2, p3) = (Load(a, A1), Load(a, A1 + 1), Load(a, A1 + 2), Load(a, A1 + 3));
        var (q0, q1, q2, q3) = (Load(a, A2), Load(a, A2 + 1), Load(a, A2 + 2), Load(a, A2 + 3));
        var (s0, s1, s2, s3) = (Load(a, S), Load(a, S + 1), Load(a, S + 2), Load(a, S + 3));
        var (t0, t1, t2, t3) = (Load(a, T), Load(a, T + 1), Load(a, T + 2), Load(a, T + 3));
        var (u0, u1, u2, u3) = (Load(b, S), Load(b, S + 1), Load(b, S + 2), Load(b, S + 3));
        var (v0, v1, v2, v3) = (Load(b, T), Load(b, T + 1), Load(b, T + 2), Load(b, T + 3));
        var (sumA, sumB) = (Load(a, Sum), Load(b, Sum));
        ref var second = ref MemoryMarshal.GetArrayDataReference(b);
        foreach (var sample in samples)
        {
            var x = TLanes.Spread(sample);
            var y = Step(x, p0, q0, ref s0, ref t0);
            var z = Step(x, At(ref second, A1), At(ref second, A2), ref u0, ref v0);
            y = Step(y, p1, q1, ref s1, ref t1);
            z = Step(z, At(ref second, A1 + 1), At(ref second, A2 + 1), ref u1, ref v1);
            y = Step(y, p2, q2, ref s2, ref t2);
            z = Step(z, At(ref second, A1 + 2), At(ref second, A2 + 2), ref u2, ref v2);
            y = Step(y, p3, q3, ref s3, ref t3);
            z = Step(z, At(ref second, A1 + 3), At(ref second, A2 + 3), ref u3, ref v3);
            sumA = TLanes.MultiplyAdd(y, y, sumA);
            sumB = TLanes.MultiplyAdd(z, z, sumB);
        }

        Store(s0, a, S);
        Store(s1, a, S + 1);
        Store(s2, a, S + 2);
        Store(s3, a, S + 3);
        Store(t0, a, T);
        Store(t1, a, T + 1);
        Store(t2, a, T + 2);
        Store(t3, a, T + 3);
        Store(sumA, a, Sum);
        Store(u0, b, S);
        Store(u1, b, S + 1);
        Store(u2, b, S + 2);
        Store(u3, b, S + 3);
        Store(v0, b, T);
        Store(v1, b, T + 1);
        Store(v2, b, T + 2);
        Store(v3, b, T + 3);
        Store(sumB, b, Sum);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector At(ref double first, int row) => TLanes.Load(ref Unsafe.Add(ref first, row * TLanes.Lanes));
}
