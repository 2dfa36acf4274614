using System.Numerics;

namespace TeleHearing.Audiology.Acoustics;

/// <summary>A frequency weighting as a running digital filter, within 0.02 dB of the formula from 10 Hz to 20 kHz at 48 kHz.</summary>
/// <remarks>
/// <para>
/// The poles at the low end go through the bilinear transformation, which is exact there. At the high end that would be wrong by many decibels, since it crushes
/// everything up to infinity into half the sample rate. There the double pole is matched instead, and a short symmetric finite filter makes up what is missing: its
/// response is a polynomial in the cosine of frequency, laid through the wanted one at Chebyshev nodes.
/// </para>
/// <para>The finite filter delays by <see cref="HalfTaps"/> samples and bends no phase. Not safe for several threads at once.</para>
/// </remarks>
internal sealed class WeightingFilter
{
    /// <summary>Taps of the finite filter on either side of its middle.</summary>
    public const int HalfTaps = 8;

    /// <summary>The finite filter follows the formula up to here, of the sample rate: 20.6 kHz at 48 kHz.</summary>
    private const double FollowedTo = 0.43;

    private readonly double[] _taps = [];
    private readonly double[] _history = [];
    private readonly FirstOrder[] _poles = [];
    private readonly double _gain = 1;
    private int _place;

    public WeightingFilter(FrequencyWeighting weighting, int sampleRateHz)
    {
        if (weighting == FrequencyWeighting.Z)
        {
            return;
        }

        var matched = Math.Exp(-Math.Tau * WeightingCurves.F4 / sampleRateHz);
        _taps = Taps(matched, sampleRateHz);
        _history = new double[_taps.Length * 2];
        var highPasses = weighting == FrequencyWeighting.A
            ? new[] { WeightingCurves.F1, WeightingCurves.F1, WeightingCurves.F2, WeightingCurves.F3 }
            : [WeightingCurves.F1, WeightingCurves.F1];
        _poles = [.. highPasses.Select(hertz => FirstOrder.HighPass(hertz, sampleRateHz)), new FirstOrder(0, matched), new FirstOrder(0, matched)];
        _gain = 1 / Response(1000, sampleRateHz).Magnitude;
    }

    /// <summary>Filters samples in place.</summary>
    public void Process(Span<double> samples)
    {
        if (_taps.Length == 0)
        {
            return;
        }

        foreach (ref var sample in samples)
        {
            var value = Finite(sample * _gain);
            for (var i = 0; i < _poles.Length; i++)
            {
                value = _poles[i].Next(value);
            }

            sample = value;
        }

        for (var i = 0; i < _poles.Length; i++)
        {
            _poles[i].Flush();
        }
    }

    /// <summary>The response from the coefficients.</summary>
    public Complex Response(double hertz, int sampleRateHz)
    {
        if (_taps.Length == 0)
        {
            return Complex.One;
        }

        var delay = Complex.FromPolarCoordinates(1, -Math.Tau * hertz / sampleRateHz);
        var finite = _taps.Select((tap, index) => tap * Complex.Pow(delay, index)).Aggregate((sum, part) => sum + part);
        return _poles.Aggregate(finite * _gain, (product, pole) => product * pole.Response(delay));
    }

    // The newest sample is written twice, a whole length apart, so that the last samples always lie in one piece.
    private double Finite(double value)
    {
        _place = _place == 0 ? _taps.Length - 1 : _place - 1;
        _history[_place] = value;
        _history[_place + _taps.Length] = value;
        var sum = 0.0;
        for (var i = 0; i < _taps.Length; i++)
        {
            sum += _taps[i] * _history[_place + i];
        }

        return sum;
    }

    private static double[] Taps(double matched, int sampleRateHz)
    {
        // Cosines of the nodes between zero and the highest frequency followed.
        var lowest = Math.Cos(Math.Tau * FollowedTo);
        const int Nodes = HalfTaps + 1;
        var cosines = Enumerable.Range(0, Nodes).Select(k => ((1 + lowest) / 2) + ((1 - lowest) / 2 * Math.Cos(Math.PI * (k + 0.5) / Nodes))).ToArray();
        var wanted = cosines.Select(cosine =>
        {
            var hertz = Math.Acos(cosine) / Math.Tau * sampleRateHz;
            var pole = 1 / (1 - (2 * matched * cosine) + (matched * matched));
            return WeightingCurves.HighEndMagnitude(hertz) / pole;
        }).ToArray();

        // wanted(cosine) = sum of weights[k] cos(k w) at every node
        var rows = cosines.Select(cosine => Enumerable.Range(0, Nodes).Select(k => Math.Cos(k * Math.Acos(cosine))).ToArray()).ToArray();
        var weights = LinearEquations.Solve(rows, wanted);
        var taps = new double[(2 * HalfTaps) + 1];
        taps[HalfTaps] = weights[0];
        for (var k = 1; k <= HalfTaps; k++)
        {
            taps[HalfTaps - k] = taps[HalfTaps + k] = weights[k] / 2;
        }

        return taps;
    }

    /// <summary>(1 - Zero z^-1) / (1 - Pole z^-1).</summary>
    private struct FirstOrder(double zero, double pole)
    {
        private double _state;

        public static FirstOrder HighPass(double hertz, int sampleRateHz)
        {
            var warped = Math.Tan(Math.PI * hertz / sampleRateHz);
            return new FirstOrder(1, (1 - warped) / (1 + warped));
        }

        public double Next(double x)
        {
            var y = x + _state;
            _state = (pole * y) - (zero * x);
            return y;
        }

        public void Flush() => _state = Math.Abs(_state) < 1e-100 ? 0 : _state;

        public readonly Complex Response(Complex delay) => (1 - (zero * delay)) / (1 - (pole * delay));
    }
}
