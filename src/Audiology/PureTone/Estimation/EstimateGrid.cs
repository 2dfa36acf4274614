using System.Runtime.Intrinsics;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.PureTone.Estimation;

/// <summary>The points over which a posterior is held, and the table of Phi((L - T) / sd) at every distance of a tone from a threshold.</summary>
/// <remarks>
/// <para>P(yes | L) = g + (1 - g - l) Phi((L - T) / sd). The table is the only place where Phi is computed. It is stored by rising T for a fixed L, so that a row is read
/// forward, eight numbers at a time.</para>
/// <para>Spreads of 1 to 4 dB, lapses up to 5 % and false alarms up to 20 % are what simulation studies use (assumptions, not norms); the wider values are there so that a
/// person outside them shows as one, instead of bending the threshold.</para>
/// </remarks>
internal sealed class EstimateGrid
{
    /// <summary>Distance of the thresholds of the grid, dB.</summary>
    public const int ThresholdStepDb = 1;

    private readonly double[][] _heard;
    private readonly int _farthestDb;

    private EstimateGrid(int lowestDb, int thresholds, double[] spreadsDb, double[] lapseRates, double[] falseAlarmRates)
    {
        (LowestThresholdDb, Thresholds, SpreadsDb, LapseRates, FalseAlarmRates) = (lowestDb, thresholds, spreadsDb, lapseRates, falseAlarmRates);
        Stride = (thresholds + Vector512<double>.Count - 1) / Vector512<double>.Count * Vector512<double>.Count;
        _farthestDb = Stride;
        _heard = [.. spreadsDb.Select(spreadDb =>
            Enumerable.Range(-_farthestDb, (2 * _farthestDb) + Stride + 1).Select(above => Normal.Cumulative(-above / spreadDb)).ToArray())];
    }

    /// <summary>The grid of every estimate: thresholds -30 to 137 dB HL, six spreads, four lapse rates, six false-alarm rates.</summary>
    public static EstimateGrid Usual { get; } = new(
        -30,
        168,
        [1, 1.5, 2, 3, 4, 6],
        [0.003, 0.02, 0.06, 0.2],
        [0.003, 0.02, 0.05, 0.12, 0.3, 0.75]);

    /// <summary>Lowest threshold, dB HL.</summary>
    public int LowestThresholdDb { get; }

    /// <summary>Number of thresholds.</summary>
    public int Thresholds { get; }

    /// <summary>Length of a row: <see cref="Thresholds"/> rounded up to whole vectors. What is beyond has no weight.</summary>
    public int Stride { get; }

    /// <summary>Spreads of the psychometric function, dB.</summary>
    public double[] SpreadsDb { get; }

    /// <summary>Chances of missing a tone however loud.</summary>
    public double[] LapseRates { get; }

    /// <summary>Chances of a response to silence.</summary>
    public double[] FalseAlarmRates { get; }

    /// <summary>Combinations of spread, lapse and false-alarm rate; the last runs fastest.</summary>
    public int Listeners => SpreadsDb.Length * LapseRates.Length * FalseAlarmRates.Length;

    /// <summary>Phi((L - T) / sd) by rising T, one row of <see cref="Stride"/>.</summary>
    /// <param name="spread">Index of the spread.</param>
    /// <param name="levelDbHl">Level of the tone, whole dB, within the thresholds of the grid.</param>
    public ReadOnlySpan<double> Heard(int spread, int levelDbHl) =>
        _heard[spread].AsSpan(LowestThresholdDb - levelDbHl + _farthestDb, Stride);

    /// <summary>Threshold at an index, dB HL.</summary>
    public int ThresholdDb(int index) => LowestThresholdDb + (index * ThresholdStepDb);
}
