namespace TeleHearing.Audiology.Simulation;

/// <summary>Measures what a burst spreads to frequencies other than its own: clicks of a missing ramp, distortion.</summary>
/// <remarks>
/// A tone that starts at once spreads energy over the whole spectrum; one with a ramp of 20 ms or more does not (that is why IEC 60645-1 asks for it).
/// Short windows of four-term Blackman-Harris shape, whose own leakage lies 92 dB down (Harris 1978, Proc IEEE 66:51). What lies within 400 Hz of the
/// strongest component, or 50 dB below the burst, is not counted.
/// </remarks>
internal sealed class SplatterMeter
{
    private const int Length = 2048;
    private const double NearHz = 400;
    private const double FarBelow = 1e-5;

    private static readonly double _sixthOfAnOctave = Math.Pow(2, 1.0 / 6);

    private readonly FourierTransform _transform = new(Length);
    private readonly double[] _window = [.. Enumerable.Range(0, Length).Select(BlackmanHarris)];
    private readonly double[] _real = new double[Length];
    private readonly double[] _imaginary = new double[Length];
    private readonly float[] _recent = new float[Length];
    private readonly double[] _bandMaximum = new double[AudiometricFrequency.All.Count];
    private readonly double _binHz;
    private readonly double _scale;
    private double _totalMaximum;

    public SplatterMeter(int sampleRateHz)
    {
        _binHz = (double)sampleRateHz / Length;
        _scale = 2 / (Length * _window.Sum(value => value * value));
    }

    /// <summary>How long a click sounds to this meter: half a window, in ms.</summary>
    public double WindowMs => 1000 / (2 * _binHz);

    /// <summary>Keeps the newest samples.</summary>
    public void Keep(ReadOnlySpan<float> samples)
    {
        _recent.AsSpan(samples.Length).CopyTo(_recent);
        samples.CopyTo(_recent.AsSpan(Length - samples.Length));
    }

    /// <summary>Analyses the newest window.</summary>
    public void Analyse()
    {
        for (var i = 0; i < Length; i++)
        {
            _real[i] = _recent[i] * _window[i];
            _imaginary[i] = 0;
        }

        _transform.Forward(_real, _imaginary);
        var (total, strongest, peak) = (0.0, 0.0, 0);
        for (var k = 0; k < Length / 2; k++)
        {
            var power = (_real[k] * _real[k]) + (_imaginary[k] * _imaginary[k]);
            _real[k] = power;
            total += power;
            (strongest, peak) = power > strongest ? (power, k) : (strongest, peak);
        }

        _totalMaximum = Math.Max(_totalMaximum, total * _scale);
        for (var band = 0; band < _bandMaximum.Length; band++)
        {
            _bandMaximum[band] = Math.Max(_bandMaximum[band], BandPower(AudiometricFrequency.All[band].Hertz, peak * _binHz));
        }
    }

    /// <summary>The strongest spread of the burst so far, by audiometric frequency in Hz and mean square.</summary>
    public IEnumerable<(int Hertz, double MeanSquare)> Spread()
    {
        for (var band = 0; band < _bandMaximum.Length; band++)
        {
            if (_bandMaximum[band] > FarBelow * _totalMaximum)
            {
                yield return (AudiometricFrequency.All[band].Hertz, _bandMaximum[band]);
            }
        }
    }

    /// <summary>Forgets the burst.</summary>
    public void Clear()
    {
        Array.Clear(_bandMaximum);
        _totalMaximum = 0;
    }

    private double BandPower(int hertz, double strongestHz)
    {
        var sum = 0.0;
        for (var k = (int)Math.Ceiling(hertz / _sixthOfAnOctave / _binHz); k <= hertz * _sixthOfAnOctave / _binHz; k++)
        {
            sum += Math.Abs((k * _binHz) - strongestHz) > NearHz ? _real[k] : 0;
        }

        return sum * _scale;
    }

    private static double BlackmanHarris(int i)
    {
        var x = Math.Tau * i / Length;
        return 0.35875 - (0.48829 * Math.Cos(x)) + (0.14128 * Math.Cos(2 * x)) - (0.01168 * Math.Cos(3 * x));
    }
}
