using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Simulation;

/// <summary>Room noise as it masks tones under the simulated earphone.</summary>
/// <remarks>
/// Measures the room by Fourier transform, not by the kit's filter bank. Noise exactly at the limit of ISO 8253-1:2010 acts like a tone level of
/// 10 log10(10^0.2 - 1) = -2.33 dB HL, since the limits allow a shift of 2 dB at 0 dB HL; louder noise counts decibel for decibel, and adds to the threshold
/// by power. This is an estimate, not a rule of the standard. Tones up to 500 Hz are masked by every lower band too, as the columns of Table 2 allow.
/// </remarks>
internal sealed class RoomAtTheEar
{
    private const int Length = 8192;
    private const int FramesAveraged = 3;
    private const int LowToneHz = 500;

    private static readonly double _levelOfLimitDbHl = 10 * Math.Log10(Math.Pow(10, 0.2) - 1);

    private readonly FourierTransform _transform = new(Length);
    private readonly double[] _window = [.. Enumerable.Range(0, Length).Select(i => 0.5 * (1 - Math.Cos(Math.Tau * i / Length)))];
    private readonly double[] _real = new double[Length];
    private readonly double[] _imaginary = new double[Length];
    private readonly float[] _pending = new float[Length];
    private readonly List<Band> _bands;
    private readonly Queue<double[]> _recent = new();
    private readonly double _splAtRmsOneDb;
    private readonly double _binHz;
    private int _filled;

    public RoomAtTheEar(TransducerKind kind, int sampleRateHz, double splAtRmsOneDb)
    {
        _splAtRmsOneDb = splAtRmsOneDb;
        _binHz = (double)sampleRateHz / Length;
        _bands = ReadBands(kind);
    }

    /// <summary>Takes in room samples.</summary>
    public void Add(ReadOnlySpan<float> mono)
    {
        while (mono.Length > 0)
        {
            var count = Math.Min(mono.Length, Length - _filled);
            mono[..count].CopyTo(_pending.AsSpan(_filled));
            mono = mono[count..];
            _filled += count;
            if (_filled == Length)
            {
                _filled = 0;
                Measure();
            }
        }
    }

    /// <summary>The tone level that the room's noise of the last half second is worth, dB HL; negative infinity in silence.</summary>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="open">The ear is open, as in bone conduction (Table 4), and not under the earphone.</param>
    public double LevelDbHl(double hertz, bool open = false)
    {
        if (_recent.Count == 0)
        {
            return double.NegativeInfinity;
        }

        // The column of limits for a lowest tone of 125, 250 or 500 Hz.
        var column = hertz >= LowToneHz ? 2 : hertz >= 250 ? 1 : 0;
        var loudest = double.NegativeInfinity;
        for (var i = 0; i < _bands.Count; i++)
        {
            var band = _bands[i];
            var own = hertz >= band.LowerHz && hertz < band.UpperHz;
            if (own || (hertz <= LowToneHz && band.UpperHz <= hertz))
            {
                var power = _recent.Average(levels => levels[i]);
                loudest = Math.Max(loudest, (10 * Math.Log10(power)) + _splAtRmsOneDb - (open ? band.OpenLimitsDb : band.LimitsDb)[column]);
            }
        }

        return loudest + _levelOfLimitDbHl;
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
        _recent.Enqueue([.. _bands.Select(band => scale * BandSum(band))]);
        if (_recent.Count > FramesAveraged)
        {
            _recent.Dequeue();
        }
    }

    private double BandSum(Band band)
    {
        var sum = 0.0;
        for (var k = (int)(band.LowerHz / _binHz); k <= (int)(band.UpperHz / _binHz) + 1 && k < Length / 2; k++)
        {
            // A bin at an edge counts by the part of it that lies in the band.
            var part = Math.Min((k + 0.5) * _binHz, band.UpperHz) - Math.Max((k - 0.5) * _binHz, band.LowerHz);
            sum += Math.Max(0, part / _binHz) * ((_real[k] * _real[k]) + (_imaginary[k] * _imaginary[k]));
        }

        return sum;
    }

    private static List<Band> ReadBands(TransducerKind kind)
    {
        var column = kind switch
        {
            TransducerKind.SupraAural => "supra_aural_db",
            TransducerKind.Insert or TransducerKind.HighFrequencyInsert => "insert_db",
            _ => "circumaural_db",
        };
        var limits = EmbeddedTable.Read("mpanl_iso_8253_1.csv").Rows;
        var earphones = EmbeddedTable.Read("earphone_attenuation_iso_8253_1.csv").Rows;
        return [.. limits.Select((row, i) =>
        {
            var nominal = row.Number("band_hz");
            var exact = Math.Pow(10, Math.Round(10 * Math.Log10(nominal)) / 10);

            // How much more than the earphone of Table 2 this one keeps out; nothing is printed below 63 Hz for circumaural ones.
            var better = (earphones[i].NumberOrNone(column) ?? 0) - earphones[i].Number("supra_aural_db");
            return new Band(
                exact / Math.Pow(10, 0.05),
                exact * Math.Pow(10, 0.05),
                [row.Number("air_from_125_db") + better, row.Number("air_from_250_db") + better, row.Number("air_from_500_db") + better],
                // no column from 500 Hz is printed for bone
                [row.Number("bone_from_125_db"), row.Number("bone_from_250_db"), row.Number("bone_from_250_db")]);
        })];
    }

    private sealed record Band(double LowerHz, double UpperHz, double[] LimitsDb, double[] OpenLimitsDb);
}
