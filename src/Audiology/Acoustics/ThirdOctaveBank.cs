using System.Numerics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>Third-octave levels of a running signal, by a bank of Butterworth band-pass filters of sixth order.</summary>
/// <remarks>
/// <para>Base-ten exact mid-band frequencies (IEC 61260-1). Several bands are computed side by side in the lanes of a vector, which changes speed, not results.</para>
/// <para>A sample that is not a finite number counts as full scale: a faulty microphone must show as noise, never as quiet.</para>
/// <para>After <see cref="Reset"/> the lowest bands need about a second to settle; <see cref="ResetAverage"/> starts a new average without that. Not safe for several threads at once.</para>
/// </remarks>
public sealed class ThirdOctaveBank
{
    /// <summary>Level reported for silence and for anything below, dB SPL: far below any microphone.</summary>
    public const double LowestReportedDbSpl = -100;

    private const int PrototypeOrder = 3;

    private readonly double[] _bands;
    private readonly Vector<double>[] _gain;
    private readonly Vector<double>[] _a1;
    private readonly Vector<double>[] _a2;
    private readonly Vector<double>[] _state1;
    private readonly Vector<double>[] _state2;
    private readonly Vector<double>[] _energy;

    /// <summary>Makes a bank.</summary>
    /// <param name="sampleRateHz">Sample rate in Hz; half of it must lie above the highest band.</param>
    /// <param name="nominalBands">Bands of <see cref="ThirdOctaveBands.Nominal"/>; all of them when absent.</param>
    /// <exception cref="ArgumentOutOfRangeException">A band is unknown, or the sample rate too low for it.</exception>
    public ThirdOctaveBank(int sampleRateHz, IReadOnlyList<double>? nominalBands = null)
    {
        _bands = [.. nominalBands ?? ThirdOctaveBands.Nominal];
        var groups = (_bands.Length + Vector<double>.Count - 1) / Vector<double>.Count;
        var sections = new BandPassSection[groups * Vector<double>.Count][];
        for (var lane = 0; lane < sections.Length; lane++)
        {
            // Lanes left over repeat the last band and are never read.
            var (lower, upper) = ThirdOctaveBands.Edges(_bands[Math.Min(lane, _bands.Length - 1)]);
            sections[lane] = ButterworthBandPass.Design(PrototypeOrder, lower, upper, sampleRateHz);
        }

        _gain = Pack(groups, sections, section => section.Gain);
        _a1 = Pack(groups, sections, section => section.A1);
        _a2 = Pack(groups, sections, section => section.A2);
        _state1 = new Vector<double>[groups * PrototypeOrder];
        _state2 = new Vector<double>[groups * PrototypeOrder];
        _energy = new Vector<double>[groups];
    }

    /// <summary>Frames averaged since the last reset of either kind.</summary>
    public long FramesAveraged { get; private set; }

    /// <summary>Takes in samples.</summary>
    public void Process(ReadOnlySpan<float> mono)
    {
        for (var group = 0; group < _energy.Length; group++)
        {
            ProcessGroup(group, mono);
        }

        FramesAveraged += mono.Length;
    }

    /// <summary>Energy average per band since the last reset of either kind; empty before the first sample.</summary>
    /// <param name="splAtRmsOneDb">Sound pressure level that a signal of root mean square 1 stands for, dB re 20 µPa.</param>
    public IReadOnlyList<BandLevel> Levels(double splAtRmsOneDb)
    {
        if (FramesAveraged == 0)
        {
            return [];
        }

        return [.. _bands.Select((band, lane) => new BandLevel(band, Level(lane, splAtRmsOneDb)))];
    }

    /// <summary>Forgets everything.</summary>
    public void Reset()
    {
        Array.Clear(_state1);
        Array.Clear(_state2);
        ResetAverage();
    }

    /// <summary>Starts a new average; the filters go on undisturbed.</summary>
    public void ResetAverage()
    {
        Array.Clear(_energy);
        FramesAveraged = 0;
    }

    private void ProcessGroup(int group, ReadOnlySpan<float> mono)
    {
        var first = group * PrototypeOrder;
        var (g0, g1, g2) = (_gain[first], _gain[first + 1], _gain[first + 2]);
        var (p0, p1, p2) = (_a1[first], _a1[first + 1], _a1[first + 2]);
        var (q0, q1, q2) = (_a2[first], _a2[first + 1], _a2[first + 2]);
        var (s0, s1, s2) = (_state1[first], _state1[first + 1], _state1[first + 2]);
        var (t0, t1, t2) = (_state2[first], _state2[first + 1], _state2[first + 2]);
        var energy = _energy[group];
        foreach (var sample in mono)
        {
            var x = new Vector<double>(float.IsFinite(sample) ? sample : 1f) * g0;
            var y = x + s0;
            s0 = t0 - (p0 * y);
            t0 = -x - (q0 * y);

            x = y * g1;
            y = x + s1;
            s1 = t1 - (p1 * y);
            t1 = -x - (q1 * y);

            x = y * g2;
            y = x + s2;
            s2 = t2 - (p2 * y);
            t2 = -x - (q2 * y);

            energy += y * y;
        }

        (_state1[first], _state1[first + 1], _state1[first + 2]) = (Flush(s0), Flush(s1), Flush(s2));
        (_state2[first], _state2[first + 1], _state2[first + 2]) = (Flush(t0), Flush(t1), Flush(t2));
        _energy[group] = energy;
    }

    // In digital silence the states would fade into denormal numbers, on which arithmetic is a hundred times slower.
    private static Vector<double> Flush(Vector<double> state) =>
        Vector.ConditionalSelect(Vector.LessThan(Vector.Abs(state), new Vector<double>(1e-100)), Vector<double>.Zero, state);

    private double Level(int lane, double splAtRmsOneDb)
    {
        var meanSquare = _energy[lane / Vector<double>.Count][lane % Vector<double>.Count] / FramesAveraged;
        return meanSquare > 0 ? Math.Max(LowestReportedDbSpl, (10 * Math.Log10(meanSquare)) + splAtRmsOneDb) : LowestReportedDbSpl;
    }

    private static Vector<double>[] Pack(int groups, BandPassSection[][] sections, Func<BandPassSection, double> select)
    {
        var packed = new Vector<double>[groups * PrototypeOrder];
        var lanes = new double[Vector<double>.Count];
        for (var group = 0; group < groups; group++)
        {
            for (var section = 0; section < PrototypeOrder; section++)
            {
                for (var lane = 0; lane < lanes.Length; lane++)
                {
                    lanes[lane] = select(sections[(group * Vector<double>.Count) + lane][section]);
                }

                packed[(group * PrototypeOrder) + section] = new Vector<double>(lanes);
            }
        }

        return packed;
    }
}
