namespace TeleHearing.Audiology.Acoustics;

/// <summary>Levels of a running signal with one frequency weighting: equivalent, fast, slow, maxima, percentiles and peak (IEC 61672-1).</summary>
/// <remarks>
/// Time weightings are exponential averages of the squared signal, 125 ms for fast and 1 s for slow; percentiles are of the fast level, sampled every 10 ms (choice of
/// this tool). The averages start from silence, so maxima need nothing to settle, while the slow level does for a few seconds. Not safe for several threads at once.
/// </remarks>
public sealed class SoundLevelMeter
{
    /// <summary>Time constant of the fast time weighting, s (IEC 61672-1).</summary>
    public const double FastSeconds = 0.125;

    /// <summary>Time constant of the slow time weighting, s (IEC 61672-1).</summary>
    public const double SlowSeconds = 1;

    private const int ChunkFrames = 512;
    private const double LevelsASecond = 100;

    private readonly WeightingFilter _filter;
    private readonly double _splAtRmsOneDb;
    private readonly int _sampleRateHz;
    private readonly double _fastPart;
    private readonly double _slowPart;
    private readonly int _framesBetweenLevels;
    private readonly LevelHistogram _levels = new();
    private readonly double[] _chunk = new double[ChunkFrames];
    private double _fast;
    private double _slow;
    private double _highestFast;
    private double _highestSlow;
    private double _energy;
    private double _peak;
    private long _frames;
    private int _untilLevel;
    private InputFaults _faults;

    /// <summary>Makes a meter.</summary>
    /// <param name="weighting">Frequency weighting.</param>
    /// <param name="sampleRateHz">Sample rate in Hz; at 48 kHz the weighting holds to 20 kHz.</param>
    /// <param name="splAtRmsOneDb">Sound pressure level that a signal of root mean square 1 stands for, dB re 20 µPa.</param>
    /// <exception cref="ArgumentOutOfRangeException">The sample rate is below 8 kHz, or the level no finite number.</exception>
    public SoundLevelMeter(FrequencyWeighting weighting, int sampleRateHz, double splAtRmsOneDb)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRateHz, 8000);
        if (!double.IsFinite(splAtRmsOneDb))
        {
            throw new ArgumentOutOfRangeException(nameof(splAtRmsOneDb), splAtRmsOneDb, "The sensitivity must be a finite number.");
        }

        _filter = new WeightingFilter(weighting, sampleRateHz);
        _splAtRmsOneDb = splAtRmsOneDb;
        _sampleRateHz = sampleRateHz;
        _fastPart = 1 - Math.Exp(-1 / (FastSeconds * sampleRateHz));
        _slowPart = 1 - Math.Exp(-1 / (SlowSeconds * sampleRateHz));
        _framesBetweenLevels = (int)(sampleRateHz / LevelsASecond);
        _untilLevel = _framesBetweenLevels;
    }

    /// <summary>The fast level now, dB.</summary>
    public double FastDb => Db(_fast);

    /// <summary>The slow level now, dB.</summary>
    public double SlowDb => Db(_slow);

    /// <summary>Takes in samples, full scale 1.0.</summary>
    public void Add(ReadOnlySpan<float> mono)
    {
        while (!mono.IsEmpty)
        {
            var chunk = _chunk.AsSpan(0, Math.Min(mono.Length, ChunkFrames));
            _faults += InputFaults.Sift(mono[..chunk.Length], chunk);
            _filter.Process(chunk);
            Weigh(chunk);
            mono = mono[chunk.Length..];
        }
    }

    /// <summary>What was measured since the start or the last <see cref="Restart"/>; absent before the first sample.</summary>
    public SoundLevels? Result() => _frames == 0 ? null : new SoundLevels(
        (double)_frames / _sampleRateHz,
        Db(_energy / _frames),
        Db(_highestFast),
        Db(_highestSlow),
        Db(_peak * _peak),
        _levels.Exceeded(10),
        _levels.Exceeded(50),
        _levels.Exceeded(90),
        _faults);

    /// <summary>The level exceeded in this part of the time, in percent; absent before the first 10 ms.</summary>
    public double? ExceededDb(double percent) => _levels.Exceeded(percent);

    /// <summary>Starts a new measurement; filters and time weightings go on undisturbed.</summary>
    public void Restart()
    {
        (_energy, _peak, _frames, _faults) = (0, 0, 0, default);
        (_highestFast, _highestSlow) = (0, 0);
        _levels.Clear();
        _untilLevel = _framesBetweenLevels;
    }

    private void Weigh(ReadOnlySpan<double> chunk)
    {
        foreach (var sample in chunk)
        {
            var square = sample * sample;
            _energy += square;
            _peak = Math.Max(_peak, Math.Abs(sample));
            _fast += _fastPart * (square - _fast);
            _slow += _slowPart * (square - _slow);
            _highestFast = Math.Max(_highestFast, _fast);
            _highestSlow = Math.Max(_highestSlow, _slow);
            if (--_untilLevel == 0)
            {
                _untilLevel = _framesBetweenLevels;
                _levels.Add(FastDb);
            }
        }

        _frames += chunk.Length;
        _fast = _fast < 1e-100 ? 0 : _fast;
        _slow = _slow < 1e-100 ? 0 : _slow;
    }

    private double Db(double meanSquare) => Decibels.Of(meanSquare, _splAtRmsOneDb, BandBank.LowestReportedDbSpl);
}
