namespace TeleHearing.Audiology.Acoustics;

/// <summary>Band levels of a running signal, by a bank of Butterworth band-pass filters of eighth order: class 1 of IEC 61260-1 in every band up to 16 kHz at 48 kHz.</summary>
/// <remarks>
/// <para>Several bands are computed side by side in the lanes of a vector, as wide as the machine has; this changes speed, not results.</para>
/// <para>
/// Low bands run at a quarter or a sixteenth of the rate, as filters that follow the full-rate ones within 0.003 dB; the skirts beyond 40 dB may lie a few decibels
/// higher, still far inside the mask. A quarter of the lanes is then worked on at the full rate.
/// </para>
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
    private readonly BandPlace[] _places;
    private readonly ILaneGroups? _lanes;
    private readonly DecimatedStage? _quarter;
    private readonly DecimatedStage? _sixteenth;
    private readonly double[] _chunk = new double[ChunkFrames];
    private InputFaults _faults;

    private protected BandBank(int sampleRateHz, IReadOnlyList<double> bands, Func<double, (double LowerHz, double UpperHz)> edges, LaneWidth width)
    {
        _bands = [.. bands];
        var plan = new BandPlan(sampleRateHz, [.. _bands.Select(edges)]);
        _places = [.. plan.Places];
        _lanes = plan.FullRate.Count == 0 ? null : LaneGroups.Create([.. plan.FullRate], width);
        _quarter = plan.Quarter.Count == 0 && plan.Sixteenth.Count == 0 ? null : new DecimatedStage(plan.Quarter, width, ChunkFrames);
        _sixteenth = plan.Sixteenth.Count == 0 ? null : new DecimatedStage(plan.Sixteenth, width, _quarter!.MostFrames);
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
            Filter(_chunk.AsSpan(0, take));
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
        _lanes?.Reset();
        _quarter?.Reset();
        _sixteenth?.Reset();
        ResetAverage();
    }

    /// <summary>Starts a new average; the filters go on undisturbed.</summary>
    public void ResetAverage()
    {
        _lanes?.ResetEnergy();
        _quarter?.ResetEnergy();
        _sixteenth?.ResetEnergy();
        FramesAveraged = 0;
        _faults = default;
    }

    /// <summary>Mean square of a band's filtered signal.</summary>
    internal double MeanSquare(int index)
    {
        var place = _places[index];
        return place.PowerGain * place.Rate switch
        {
            BandRate.Quarter => _quarter!.MeanSquare(place.Index),
            BandRate.Sixteenth => _sixteenth!.MeanSquare(place.Index),
            _ => _lanes!.Energy(place.Index) / FramesAveraged,
        };
    }

    private void Filter(ReadOnlySpan<double> samples)
    {
        _lanes?.Process(samples);
        if (_quarter is not null)
        {
            var quarter = _quarter.Process(samples);
            _sixteenth?.Process(quarter);
        }
    }
}
