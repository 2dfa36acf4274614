namespace TeleHearing.Audiology.Acoustics;

/// <summary>Band levels of a running signal, by a bank of Butterworth band-pass filters of eighth order: class 1 of IEC 61260-1 in every band up to 16 kHz at 48 kHz.</summary>
/// <remarks>
/// <para>Several bands are computed side by side in the lanes of a vector, as wide as the machine has; this changes speed, not results.</para>
/// <para>A sample that is not a finite number counts as full scale: a faulty microphone must show as noise, never as quiet. <see cref="Faults"/> tells of it.</para>
/// <para>After <see cref="Reset"/> the lowest bands need about a second to settle; <see cref="ResetAverage"/> starts a new average without that. Not safe for several threads at once.</para>
/// </remarks>
public abstract class BandBank
{
    /// <summary>Level reported for silence and for anything below, dB SPL: far below any microphone.</summary>
    public const double LowestReportedDbSpl = -100;

    /// <summary>
    /// Order of the low-pass prototype, and sections of each filter. Third order would meet class 1 up to 10 kHz, but not at 12.5 and 16 kHz, where the
    /// bilinear transformation flattens the lower skirt; fourth order does everywhere, and its noise bandwidth is nearer to the nominal one.
    /// </summary>
    internal const int PrototypeOrder = 4;

    /// <summary>Samples worked on at a time: they stay in the first-level cache, and no filter state can fade into denormal numbers within them.</summary>
    private const int ChunkFrames = 512;

    private readonly double[] _bands;
    private readonly double[] _powerGain;
    private readonly ILaneGroups _lanes;
    private readonly double[] _chunk = new double[ChunkFrames];
    private InputFaults _faults;

    private protected BandBank(int sampleRateHz, IReadOnlyList<double> bands, Func<double, (double LowerHz, double UpperHz)> edges, LaneWidth width)
    {
        _bands = [.. bands];
        BandPassSection[][] filters = [.. _bands.Select(band =>
        {
            var (lower, upper) = edges(band);
            return ButterworthBandPass.Design(PrototypeOrder, lower, upper, sampleRateHz);
        })];

        // The sections run without their gains, which are applied once, to the energy.
        _powerGain = [.. filters.Select(sections => sections.Aggregate(1.0, (product, section) => product * section.Gain * section.Gain))];
        _lanes = LaneGroups.Create(filters, width);
    }

    /// <summary>Frames averaged since the last reset of either kind.</summary>
    public long FramesAveraged { get; private set; }

    /// <summary>What was wrong with the samples averaged since the last reset of either kind. With any fault, the levels are no measurement.</summary>
    public InputFaults Faults => _faults;

    /// <summary>Takes in samples, full scale 1.0.</summary>
    public void Process(ReadOnlySpan<float> mono)
    {
        FramesAveraged += mono.Length;
        while (!mono.IsEmpty)
        {
            var take = Math.Min(mono.Length, ChunkFrames);
            _faults += InputFaults.Sift(mono[..take], _chunk);
            _lanes.Process(_chunk.AsSpan(0, take));
            mono = mono[take..];
        }
    }

    /// <summary>Energy average per band since the last reset of either kind; empty before the first sample.</summary>
    /// <param name="splAtRmsOneDb">Sound pressure level that a signal of root mean square 1 stands for, dB re 20 µPa.</param>
    public IReadOnlyList<BandLevel> Levels(double splAtRmsOneDb)
    {
        if (FramesAveraged == 0)
        {
            return [];
        }

        return [.. _bands.Select((band, index) => new BandLevel(band, Decibels.Of(MeanSquare(index), splAtRmsOneDb, LowestReportedDbSpl)))];
    }

    /// <summary>Forgets everything.</summary>
    public void Reset()
    {
        _lanes.Reset();
        ResetAverage();
    }

    /// <summary>Starts a new average; the filters go on undisturbed.</summary>
    public void ResetAverage()
    {
        _lanes.ResetEnergy();
        FramesAveraged = 0;
        _faults = default;
    }

    /// <summary>Mean square of a band's filtered signal.</summary>
    internal double MeanSquare(int index) => _lanes.Energy(index) * _powerGain[index] / FramesAveraged;
}
