namespace TeleHearing.Audiology.Simulation;

/// <summary>The power spectrum of what was heard last, averaged over some windows, as the simulated person takes it.</summary>
/// <remarks>By Fourier transform over Hann windows of 171 ms (at 48 kHz): a measurement of its own, not the kit's filter bank.</remarks>
/// <param name="sampleRateHz">Sample rate in Hz.</param>
/// <param name="windowsAveraged">How many windows are averaged.</param>
internal sealed class RecentSpectrum(int sampleRateHz, int windowsAveraged)
{
    private const int Length = 8192;

    private readonly FourierTransform _transform = new(Length);
    private readonly double[] _window = [.. Enumerable.Range(0, Length).Select(i => 0.5 * (1 - Math.Cos(Math.Tau * i / Length)))];
    private readonly double[] _real = new double[Length];
    private readonly double[] _imaginary = new double[Length];
    private readonly float[] _pending = new float[Length];
    private readonly Queue<double[]> _recent = new();
    private readonly double _binHz = (double)sampleRateHz / Length;
    private int _filled;

    /// <summary>Whether not even one window was full yet.</summary>
    public bool IsEmpty => _recent.Count == 0;

    /// <summary>Takes in samples.</summary>
    public void Add(ReadOnlySpan<float> samples)
    {
        while (samples.Length > 0)
        {
            var count = Math.Min(samples.Length, Length - _filled);
            samples[..count].CopyTo(_pending.AsSpan(_filled));
            samples = samples[count..];
            _filled += count;
            if (_filled == Length)
            {
                _filled = 0;
                Measure();
            }
        }
    }

    /// <summary>Forgets everything.</summary>
    public void Clear()
    {
        _recent.Clear();
        _filled = 0;
    }

    /// <summary>Mean square of what lies between two frequencies; 0 before there was enough.</summary>
    public double MeanSquare(double lowerHz, double upperHz)
    {
        var sum = 0.0;
        foreach (var power in _recent)
        {
            for (var k = (int)(lowerHz / _binHz); k <= (int)(upperHz / _binHz) + 1 && k < power.Length; k++)
            {
                // A bin at an edge counts by the part of it that lies in the band.
                var part = Math.Min((k + 0.5) * _binHz, upperHz) - Math.Max((k - 0.5) * _binHz, lowerHz);
                sum += Math.Max(0, part / _binHz) * power[k];
            }
        }

        return IsEmpty ? 0 : sum / _recent.Count;
    }

    private void Measure()
    {
        var energyOfWindow = 0.0;
        for (var i = 0; i < Length; i++)
        {
            _real[i] = _pending[i] * _window[i];
            _imaginary[i] = 0;
            energyOfWindow += _window[i] * _window[i];
        }

        _transform.Forward(_real, _imaginary);
        var scale = 2 / (Length * energyOfWindow);
        var power = new double[Length / 2];
        for (var k = 0; k < power.Length; k++)
        {
            power[k] = scale * ((_real[k] * _real[k]) + (_imaginary[k] * _imaginary[k]));
        }

        _recent.Enqueue(power);
        if (_recent.Count > windowsAveraged)
        {
            _recent.Dequeue();
        }
    }
}
