namespace TeleHearing.Audiology.Simulation.Population;

/// <summary>How far thresholds lie from the true ones, summed up.</summary>
internal sealed class ErrorSum
{
    /// <summary>The histogram reaches this far to either side, dB; what lies beyond counts at its ends.</summary>
    public const int HistogramReachDb = 25;

    private readonly int[] _histogram = new int[(2 * HistogramReachDb / 5) + 1];
    private double _sum;
    private double _squares;
    private double _absolute;

    /// <summary>Thresholds found, or rightly or wrongly found beyond the limit.</summary>
    public int Count { get; private set; }

    /// <summary>Thresholds looked for and not found.</summary>
    public int NotFound { get; private set; }

    public int WithinFive { get; private set; }

    public int WithinTen { get; private set; }

    public double MeanDb => _sum / Count;

    public double SdDb => Math.Sqrt(Math.Max(0, (_squares / Count) - (MeanDb * MeanDb)));

    public double MeanAbsoluteDb => _absolute / Count;

    /// <summary>Share within 5 dB, of all that were looked for.</summary>
    public double ShareWithinFive => (double)WithinFive / (Count + NotFound);

    /// <summary>Share within 10 dB, of all that were found.</summary>
    public double ShareWithinTen => (double)WithinTen / Count;

    public double ShareNotFound => (double)NotFound / (Count + NotFound);

    /// <summary>Errors by 5 dB, from -<see cref="HistogramReachDb"/> to +<see cref="HistogramReachDb"/>.</summary>
    public IReadOnlyList<int> Histogram => _histogram;

    /// <summary>Adds one; no error when there was no threshold.</summary>
    public void Add(double? errorDb)
    {
        if (errorDb is not { } error)
        {
            NotFound++;
            return;
        }

        Count++;
        _sum += error;
        _squares += error * error;
        _absolute += Math.Abs(error);
        WithinFive += Math.Abs(error) <= 5 ? 1 : 0;
        WithinTen += Math.Abs(error) <= 10 ? 1 : 0;
        _histogram[(int)Math.Round((Math.Clamp(error, -HistogramReachDb, HistogramReachDb) + HistogramReachDb) / 5)]++;
    }

    /// <summary>Adds what another sum holds.</summary>
    public void Add(ErrorSum other)
    {
        Count += other.Count;
        NotFound += other.NotFound;
        WithinFive += other.WithinFive;
        WithinTen += other.WithinTen;
        _sum += other._sum;
        _squares += other._squares;
        _absolute += other._absolute;
        for (var i = 0; i < _histogram.Length; i++)
        {
            _histogram[i] += other._histogram[i];
        }
    }
}
