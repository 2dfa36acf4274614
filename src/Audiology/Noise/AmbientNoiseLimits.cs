using System.Collections.Frozen;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Noise;

/// <summary>Maximum permissible ambient noise for air conduction down to 0 dB HL with a shift of at most 2 dB (ISO 8253-1:2010, Tables 2 and 3, 11.1).</summary>
/// <remarks>
/// Limit with another earphone = limit of Table 2 + attenuation of the earphone - attenuation of the supra-aural earphone that Table 2 assumes.
/// Table 3 prints no attenuation of circumaural earphones below 63 Hz; none is assumed there, which is the strict side.
/// </remarks>
public static class AmbientNoiseLimits
{
    private static readonly FrozenDictionary<(TransducerKind, int), IReadOnlyDictionary<double, double>> _limits = Load();

    /// <summary>Limit by nominal third-octave band in Hz, dB re 20 µPa.</summary>
    /// <param name="kind">Kind of transducer.</param>
    /// <param name="lowestTestToneHz">Lowest test tone in Hz: from 500, from 250, or lower.</param>
    public static IReadOnlyDictionary<double, double> For(TransducerKind kind, int lowestTestToneHz) => _limits[(kind, Column(lowestTestToneHz))];

    private static int Column(int lowestTestToneHz) => lowestTestToneHz switch
    {
        >= 500 => 500,
        >= 250 => 250,
        _ => 125,
    };

    private static FrozenDictionary<(TransducerKind, int), IReadOnlyDictionary<double, double>> Load()
    {
        var attenuation = EmbeddedTable.Read("earphone_attenuation_iso_8253_1.csv").Rows.ToDictionary(row => row.Number("band_hz"));
        var limits = EmbeddedTable.Read("mpanl_iso_8253_1.csv").Rows;
        var all = new Dictionary<(TransducerKind, int), IReadOnlyDictionary<double, double>>();
        foreach (var (kind, column) in new[]
        {
            (TransducerKind.SupraAural, "supra_aural_db"), (TransducerKind.Insert, "insert_db"), (TransducerKind.Circumaural, "circumaural_db"),
        })
        {
            foreach (var lowest in new[] { 125, 250, 500 })
            {
                all[(kind, lowest)] = limits.ToFrozenDictionary(
                    row => row.Number("band_hz"),
                    row =>
                    {
                        var earphones = attenuation[row.Number("band_hz")];
                        return row.Number($"air_from_{lowest}_db") + (earphones.NumberOrNone(column) ?? 0) - earphones.Number("supra_aural_db");
                    });
            }
        }

        return all.ToFrozenDictionary();
    }
}
