namespace TeleHearing.Audiology.Acoustics;

/// <summary>The rate a band is filtered at.</summary>
internal enum BandRate
{
    Full,
    Quarter,
    Sixteenth,
}

/// <summary>Where a band of a bank is computed.</summary>
/// <param name="Rate">Its rate.</param>
/// <param name="Index">Its place among the filters of that rate.</param>
/// <param name="PowerGain">What its energy is multiplied with: filters run without their gains, which are applied once.</param>
internal readonly record struct BandPlace(BandRate Rate, int Index, double PowerGain);

/// <summary>Gives every band of a bank the lowest rate that serves it.</summary>
internal sealed class BandPlan
{
    private readonly List<BandPlace> _places = [];
    private readonly List<BandPassSection[]> _fullRate = [];
    private readonly List<DecimatedFilter> _quarter = [];
    private readonly List<DecimatedFilter> _sixteenth = [];

    /// <param name="sampleRateHz">Full rate in Hz.</param>
    /// <param name="edges">Edges of the bands in Hz.</param>
    public BandPlan(int sampleRateHz, IReadOnlyList<(double LowerHz, double UpperHz)> edges)
    {
        foreach (var (lower, upper) in edges)
        {
            var sections = ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, sampleRateHz);
            if (DecimatedFilter.Find(sections, lower, upper, sampleRateHz, Decimator.Factor * Decimator.Factor) is { } sixteenth)
            {
                _places.Add(new BandPlace(BandRate.Sixteenth, _sixteenth.Count, sixteenth.PowerGain));
                _sixteenth.Add(sixteenth);
            }
            else if (DecimatedFilter.Find(sections, lower, upper, sampleRateHz, Decimator.Factor) is { } quarter)
            {
                _places.Add(new BandPlace(BandRate.Quarter, _quarter.Count, quarter.PowerGain));
                _quarter.Add(quarter);
            }
            else
            {
                _places.Add(new BandPlace(BandRate.Full, _fullRate.Count, sections.Aggregate(1.0, (product, section) => product * section.Gain * section.Gain)));
                _fullRate.Add(sections);
            }
        }
    }

    /// <summary>Where each band is computed, in the order asked.</summary>
    public IReadOnlyList<BandPlace> Places => _places;

    public IReadOnlyList<BandPassSection[]> FullRate => _fullRate;

    public IReadOnlyList<DecimatedFilter> Quarter => _quarter;

    public IReadOnlyList<DecimatedFilter> Sixteenth => _sixteenth;
}
