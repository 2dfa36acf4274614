using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Simulation;

/// <summary>Room noise as it masks tones under the simulated earphone.</summary>
/// <remarks>
/// Noise exactly at the limit of ISO 8253-1:2010 acts like a tone level of
/// 10 log10(10^0.2 - 1) = -2.33 dB HL, since the limits allow a shift of 2 dB at 0 dB HL; louder noise counts decibel for decibel, and adds to the threshold
/// by power. This is an estimate, not a rule of the standard. Tones up to 500 Hz are masked by every lower band too, as the columns of Table 2 allow.
/// </remarks>
internal sealed class RoomAtTheEar
{
    private const int WindowsAveraged = 3;
    private const int LowToneHz = 500;

    private static readonly double _levelOfLimitDbHl = 10 * Math.Log10(Math.Pow(10, 0.2) - 1);

    private readonly RecentSpectrum _spectrum;
    private readonly List<Band> _bands;
    private readonly double _splAtRmsOneDb;

    public RoomAtTheEar(TransducerKind kind, int sampleRateHz, double splAtRmsOneDb)
    {
        _splAtRmsOneDb = splAtRmsOneDb;
        _spectrum = new RecentSpectrum(sampleRateHz, WindowsAveraged);
        _bands = ReadBands(kind);
    }

    /// <summary>Takes in room samples.</summary>
    public void Add(ReadOnlySpan<float> mono) => _spectrum.Add(mono);

    /// <summary>The tone level that the room's noise of the last half second is worth, dB HL; negative infinity in silence.</summary>
    /// <param name="hertz">Frequency in Hz.</param>
    /// <param name="open">The ear is open, as in bone conduction (Table 4), and not under the earphone.</param>
    public double LevelDbHl(double hertz, bool open = false)
    {
        if (_spectrum.IsEmpty)
        {
            return double.NegativeInfinity;
        }

        // The column of limits for a lowest tone of 125, 250 or 500 Hz.
        var column = hertz >= LowToneHz ? 2 : hertz >= 250 ? 1 : 0;
        var loudest = double.NegativeInfinity;
        foreach (var band in _bands)
        {
            var own = hertz >= band.LowerHz && hertz < band.UpperHz;
            if (own || (hertz <= LowToneHz && band.UpperHz <= hertz))
            {
                var power = _spectrum.MeanSquare(band.LowerHz, band.UpperHz);
                loudest = Math.Max(loudest, (10 * Math.Log10(power)) + _splAtRmsOneDb - (open ? band.OpenLimitsDb : band.LimitsDb)[column]);
            }
        }

        return loudest + _levelOfLimitDbHl;
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
