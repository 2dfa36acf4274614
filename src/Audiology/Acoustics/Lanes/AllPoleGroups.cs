using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>Filters of <see cref="DecimatedFilter"/> side by side: four sections of poles alone, then five taps, of which the middle one is 1.</summary>
/// <remarks>Sections as in <see cref="LaneGroups{TLanes, TVector}"/>, without zeros: y = x - s; s = A1 y + t; t = A2 y.</remarks>
internal sealed class AllPoleGroups<TLanes, TVector> : ILaneGroups
    where TLanes : struct, ILaneArithmetic<TVector>
    where TVector : struct
{
    // Rows of a group, each one vector wide: A1, A2, four taps, s, t, the last outputs of the poles, and the sum of squares.
    private const int A1 = 0;
    private const int A2 = 4;
    private const int Tap = 8;
    private const int S = 12;
    private const int T = 16;
    private const int Last = 20;
    private const int Sum = 24;
    private const int Rows = 25;

    private static readonly int _lanes = TLanes.Lanes;
    private static readonly int[] _tapsUsed = [0, 1, 3, 4];
    private readonly double[][] _groups;

    public AllPoleGroups(IReadOnlyList<DecimatedFilter> filters)
    {
        _groups = new double[(filters.Count + _lanes - 1) / _lanes][];
        for (var group = 0; group < _groups.Length; group++)
        {
            var rows = new double[Rows * _lanes];
            for (var lane = 0; lane < _lanes; lane++)
            {
                // Lanes left over repeat the last filter and are never read.
                var filter = filters[Math.Min((group * _lanes) + lane, filters.Count - 1)];
                for (var k = 0; k < BandBank.PrototypeOrder; k++)
                {
                    rows[((A1 + k) * _lanes) + lane] = filter.Poles[k].A1;
                    rows[((A2 + k) * _lanes) + lane] = filter.Poles[k].A2;
                    rows[((Tap + k) * _lanes) + lane] = filter.Taps[_tapsUsed[k]];
                }
            }

            _groups[group] = rows;
        }
    }

    public void Process(ReadOnlySpan<double> samples)
    {
        foreach (var rows in _groups)
        {
            ProcessOne(samples, rows);
            LaneStates.Flush(rows.AsSpan(S * _lanes, (Sum - S) * _lanes));
        }
    }

    public double Energy(int filter) => _groups[filter / _lanes][(Sum * _lanes) + (filter % _lanes)];

    public void ResetEnergy() => LaneStates.ClearFrom(_groups, Sum * _lanes);

    public void Reset() => LaneStates.ClearFrom(_groups, S * _lanes);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Load(ref double rows, int row) => TLanes.Load(ref Unsafe.Add(ref rows, row * TLanes.Lanes));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Store(TVector vector, ref double rows, int row) => TLanes.Store(vector, ref Unsafe.Add(ref rows, row * TLanes.Lanes));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static TVector Step(TVector x, TVector a1, TVector a2, ref TVector s, ref TVector t)
    {
        var y = TLanes.Subtract(x, s);
        s = TLanes.MultiplyAdd(a1, y, t);
        t = TLanes.Multiply(a2, y);
        return y;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void ProcessOne(ReadOnlySpan<double> samples, double[] group)
    {
        ref var rows = ref MemoryMarshal.GetArrayDataReference(group);
        var (p0, p1, p2, p3) = (Load(ref rows, A1), Load(ref rows, A1 + 1), Load(ref rows, A1 + 2), Load(ref rows, A1 + 3));
        var (q0, q1, q2, q3) = (Load(ref rows, A2), Load(ref rows, A2 + 1), Load(ref rows, A2 + 2), Load(ref rows, A2 + 3));
        var (s0, s1, s2, s3) = (Load(ref rows, S), Load(ref rows, S + 1), Load(ref rows, S + 2), Load(ref rows, S + 3));
        var (t0, t1, t2, t3) = (Load(ref rows, T), Load(ref rows, T + 1), Load(ref rows, T + 2), Load(ref rows, T + 3));
        var (y1, y2, y3, y4) = (Load(ref rows, Last), Load(ref rows, Last + 1), Load(ref rows, Last + 2), Load(ref rows, Last + 3));
        var sum = Load(ref rows, Sum);
        foreach (var sample in samples)
        {
            var y = Step(TLanes.Spread(sample), p0, q0, ref s0, ref t0);
            y = Step(y, p1, q1, ref s1, ref t1);
            y = Step(y, p2, q2, ref s2, ref t2);
            y = Step(y, p3, q3, ref s3, ref t3);
            var older = TLanes.MultiplyAdd(Load(ref rows, Tap + 3), y4, TLanes.Multiply(Load(ref rows, Tap + 2), y3));
            var newer = TLanes.MultiplyAdd(Load(ref rows, Tap + 1), y1, y2);
            var output = TLanes.MultiplyAdd(Load(ref rows, Tap), y, TLanes.Add(newer, older));
            sum = TLanes.MultiplyAdd(output, output, sum);
            (y4, y3, y2, y1) = (y3, y2, y1, y);
        }

        Store(s0, ref rows, S);
        Store(s1, ref rows, S + 1);
        Store(s2, ref rows, S + 2);
        Store(s3, ref rows, S + 3);
        Store(t0, ref rows, T);
        Store(t1, ref rows, T + 1);
        Store(t2, ref rows, T + 2);
        Store(t3, ref rows, T + 3);
        Store(y1, ref rows, Last);
        Store(y2, ref rows, Last + 1);
        Store(y3, ref rows, Last + 2);
        Store(y4, ref rows, Last + 3);
        Store(sum, ref rows, Sum);
    }
}
