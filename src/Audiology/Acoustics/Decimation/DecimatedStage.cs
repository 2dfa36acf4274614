namespace TeleHearing.Audiology.Acoustics;

/// <summary>The part of a bank that runs at a quarter of the rate above it.</summary>
internal sealed class DecimatedStage
{
    private readonly Decimator _decimator;
    private readonly double[] _samples;
    private readonly double[] _differences;
    private readonly ILaneGroups? _filters;
    private (double First, double Second, double Third, double Fourth) _before;

    /// <param name="filters">The filters of this rate; there may be none.</param>
    /// <param name="width">Width of the vectors.</param>
    /// <param name="mostFrames">Most samples of the rate above taken in at once.</param>
    public DecimatedStage(IReadOnlyList<DecimatedFilter> filters, LaneWidth width, int mostFrames)
    {
        MostFrames = (mostFrames / Decimator.Factor) + 1;
        _decimator = new Decimator(mostFrames);
        _samples = new double[MostFrames];
        _differences = new double[MostFrames];
        _filters = filters.Count == 0 ? null : LaneGroups.Create(filters, width);
    }

    /// <summary>Most samples that come out at once.</summary>
    public int MostFrames { get; }

    /// <summary>Samples averaged.</summary>
    public long Frames { get; private set; }

    /// <summary>Takes in samples of the rate above and gives those of this rate.</summary>
    public ReadOnlySpan<double> Process(ReadOnlySpan<double> above)
    {
        var samples = _samples.AsSpan(0, _decimator.Process(above, _samples));
        Frames += samples.Length;
        if (_filters is not null)
        {
            var differences = _differences.AsSpan(0, samples.Length);
            Differ(samples, differences);
            _filters.Process(differences);
        }

        return samples;
    }

    /// <summary>Mean square of a filter's output, before its gain.</summary>
    public double MeanSquare(int filter) => Frames == 0 ? 0 : _filters!.Energy(filter) / Frames;

    /// <summary>Starts a new average.</summary>
    public void ResetEnergy()
    {
        _filters?.ResetEnergy();
        Frames = 0;
    }

    /// <summary>Forgets everything.</summary>
    public void Reset()
    {
        _decimator.Reset();
        _filters?.Reset();
        _before = default;
        Frames = 0;
    }

    // The zeros at zero frequency, which all filters share: as many differences one after another as the prototype has orders.
    private void Differ(ReadOnlySpan<double> samples, Span<double> into)
    {
        var (first, second, third, fourth) = _before;
        for (var i = 0; i < samples.Length; i++)
        {
            var a = samples[i] - first;
            first = samples[i];
            var b = a - second;
            second = a;
            var c = b - third;
            third = b;
            into[i] = c - fourth;
            fourth = c;
        }

        _before = (first, second, third, fourth);
    }
}
