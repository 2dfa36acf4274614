namespace TeleHearing.Audiology.Simulation;

/// <summary>A tone found in a noise of the same earphone.</summary>
/// <param name="FrequencyHz">Frequency in Hz.</param>
/// <param name="MeanSquare">Mean square of the tone alone.</param>
/// <param name="NoiseMeanSquare">Mean square of the noise alone in the third of an octave around it.</param>
internal readonly record struct ToneFound(double FrequencyHz, double MeanSquare, double NoiseMeanSquare);

/// <summary>Listens for steady tones in the noise of the same earphone: lines that stand out of the noise on both sides in two windows, one in each audiometric band.</summary>
/// <remarks>
/// Hann windows of 683 ms (at 48 kHz), a new one every half window, so that two running hardly share a sample. A tone must last about 1.4 s to fill both wherever it begins. One window alone
/// would take the chance peaks of a low band for tones.
/// </remarks>
internal sealed class ToneInNoise(int sampleRateHz)
{
    private const int Length = 32_768;
    private const int Step = 16_384;

    /// <summary>Bins on either side of a line that belong to it (Hann window).</summary>
    private const int LineBins = 2;
    private const int LineWidth = (2 * LineBins) + 1;

    /// <summary>How far the line must stand out of the noise expected in its bins, as a ratio of power. Chance peaks of noise never do; a tone at the masker's own level does from 500 Hz on, at 125 and 250 Hz it needs 2 to 3 dB more.</summary>
    private const double StandsOut = 5;

    /// <summary>What lies 50 dB below the whole is not counted: it is the window's own leakage.</summary>
    private const double FarBelow = 1e-5;

    private static readonly double _sixthOfAnOctave = Math.Pow(2, 1.0 / 6);
    private static readonly double _twelfthOfAnOctave = Math.Pow(2, 1.0 / 12);

    private readonly FourierTransform _transform = new(Length);
    private readonly double[] _window = [.. Enumerable.Range(0, Length).Select(i => 0.5 * (1 - Math.Cos(Math.Tau * i / Length)))];
    private readonly double[] _real = new double[Length];
    private readonly double[] _imaginary = new double[Length];
    private readonly float[] _recent = new float[Length];
    private Dictionary<int, (int Bin, ToneFound Tone)> _lines = [];
    private readonly double _binHz = (double)sampleRateHz / Length;
    private long _frames;
    private int _sinceStep;

    /// <summary>Takes in samples. What comes back are the tones found, at the end of a window.</summary>
    public IReadOnlyList<ToneFound> Add(ReadOnlySpan<float> samples)
    {
        _recent.AsSpan(samples.Length).CopyTo(_recent);
        samples.CopyTo(_recent.AsSpan(Length - samples.Length));
        _frames += samples.Length;
        _sinceStep += samples.Length;
        if (_sinceStep < Step || _frames < Length)
        {
            return [];
        }

        _sinceStep -= Step;
        var lines = Lines();
        var before = _lines;
        _lines = lines;
        return
        [
            .. from line in lines
               where before.TryGetValue(line.Key, out var then) && Math.Abs(line.Value.Bin - then.Bin) <= 1
               select Mean(line.Value.Tone, before[line.Key].Tone),
        ];
    }

    /// <summary>Forgets the noise.</summary>
    public void Clear()
    {
        _lines = [];
        (_frames, _sinceStep) = (0, 0);
    }

    private static ToneFound Mean(ToneFound one, ToneFound other) =>
        one with { MeanSquare = (one.MeanSquare + other.MeanSquare) / 2, NoiseMeanSquare = (one.NoiseMeanSquare + other.NoiseMeanSquare) / 2 };

    /// <summary>The lines of this window by audiometric frequency in Hz.</summary>
    private Dictionary<int, (int Bin, ToneFound Tone)> Lines()
    {
        var energyOfWindow = 0.0;
        for (var i = 0; i < Length; i++)
        {
            _real[i] = _recent[i] * _window[i];
            _imaginary[i] = 0;
            energyOfWindow += _window[i] * _window[i];
        }

        _transform.Forward(_real, _imaginary);
        var total = 0.0;
        var scale = 2 / (Length * energyOfWindow);
        for (var k = 0; k < Length / 2; k++)
        {
            _real[k] = scale * ((_real[k] * _real[k]) + (_imaginary[k] * _imaginary[k]));
            total += _real[k];
        }

        var lines = new Dictionary<int, (int, ToneFound)>();
        foreach (var frequency in AudiometricFrequency.Both)
        {
            if (Line(Peak(frequency.Hertz)) is { } line && line.Tone.MeanSquare > FarBelow * total)
            {
                lines[frequency.Hertz] = line;
            }
        }

        return lines;
    }

    /// <summary>The strongest bin of the sixth of an octave around a frequency.</summary>
    private int Peak(double hertz)
    {
        var peak = (int)(hertz / _twelfthOfAnOctave / _binHz);
        for (var k = peak; k <= hertz * _twelfthOfAnOctave / _binHz; k++)
        {
            peak = _real[k] > _real[peak] ? k : peak;
        }

        return peak;
    }

    /// <summary>The line around a bin, when it stands out of what lies a twelfth of an octave to either side.</summary>
    private (int Bin, ToneFound Tone)? Line(int peak)
    {
        var below = Density((int)(peak / _twelfthOfAnOctave), peak - LineBins - 1);
        var above = Density(peak + LineBins + 1, (int)(peak * _twelfthOfAnOctave));
        var line = Sum(peak - LineBins, peak + LineBins);
        if (!(line > StandsOut * Math.Max(below, above) * LineWidth))
        {
            return null;
        }

        var expected = (below + above) / 2 * LineWidth;
        var around = Sum((int)(peak / _sixthOfAnOctave), (int)(peak * _sixthOfAnOctave));
        return (peak, new ToneFound(peak * _binHz, line - expected, around - line + expected));
    }

    private double Density(int from, int to) => to < from ? 0 : Sum(from, to) / (to - from + 1);

    private double Sum(int from, int to)
    {
        var sum = 0.0;
        for (var k = from; k <= Math.Min(to, (Length / 2) - 1); k++)
        {
            sum += _real[k];
        }

        return sum;
    }
}
