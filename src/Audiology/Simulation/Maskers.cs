namespace TeleHearing.Audiology.Simulation;

/// <summary>The noises that sound in the two earphones now, as levels of effective masking.</summary>
/// <remarks>
/// The level of a third of an octave that just masks a tone of the same hearing level in the same ear lies over the reference threshold by the number of ISO 389-4. They are written out here a second time,
/// as for <see cref="AuditoryZero"/>, and are from memory: the form of the standard is confirmed, the numbers are not.
/// </remarks>
internal sealed class Maskers
{
    private static readonly LogFrequencyCurve _overThreshold = new(
        new[] { 125.0, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000 }.Zip([4.0, 4, 4, 5, 6, 6, 6, 6, 5, 5, 5]));

    private const int WindowsAveraged = 6;

    private static readonly double _sixthOfAnOctave = Math.Pow(2, 1.0 / 6);

    private readonly Dictionary<Ear, RecentSpectrum> _spectra = [];
    private readonly HashSet<Ear> _sounding = [];
    private readonly TwoEars _ears;

    public Maskers(TwoEars ears, int sampleRateHz)
    {
        _ears = ears;
        foreach (var ear in new[] { Ear.Right, Ear.Left })
        {
            _spectra[ear] = new RecentSpectrum(sampleRateHz, WindowsAveraged);
        }
    }

    /// <summary>The spectrum of what sounds in an earphone, noise or not.</summary>
    public RecentSpectrum SpectrumOf(Ear earphone) => _spectra[earphone];

    /// <summary>What sounds in an earphone is a noise, or no longer.</summary>
    public void Set(Ear earphone, bool noise)
    {
        if (noise)
        {
            _sounding.Add(earphone);
        }
        else if (_sounding.Remove(earphone))
        {
            _spectra[earphone].Clear();
        }
    }

    /// <summary>Effective masking of the noise in an earphone at a frequency, dB; negative infinity when there is none.</summary>
    public double DbEm(Ear earphone, double hertz) =>
        _sounding.Contains(earphone) ? DbEm(earphone, hertz, BandMeanSquare(earphone, hertz)) : double.NegativeInfinity;

    /// <summary>Effective masking of a third of an octave of noise of a mean square, dB.</summary>
    public double DbEm(Ear earphone, double hertz, double meanSquare) =>
        meanSquare > 0 ? _ears.LevelDbHl(earphone, hertz, meanSquare) - _overThreshold.At(hertz) : double.NegativeInfinity;

    /// <summary>Mean square of what sounds in an earphone in the third of an octave around a frequency.</summary>
    public double BandMeanSquare(Ear earphone, double hertz) =>
        _spectra[earphone].MeanSquare(hertz / _sixthOfAnOctave, hertz * _sixthOfAnOctave);
}
