using System.Collections.Frozen;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Signals;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Levels;

/// <summary>What a sound under an earphone would have as A-weighted level in the diffuse field that is as far above threshold: the level to hold against rules of noise at work.</summary>
/// <remarks>
/// A level in a coupler is neither that at the eardrum nor that in a room, so it cannot be held against such rules. Hearing levels can be carried over: a tone of X dB HL is as far
/// above the threshold of hearing as one of X + T dB SPL in a diffuse field, T being the threshold there (ISO 389-7:2005, Table 1, confirmed; two-eared listening, so the true one-eared figure
/// is about 2 dB higher, from memory). It is an estimate for the average ear; sealed and small ears get more.
/// </remarks>
public static class DiffuseFieldLevel
{
    private static readonly FrozenDictionary<int, double> _thresholds =
        EmbeddedTable.Read("sound_field_reference_threshold.csv").Rows.ToFrozenDictionary(row => (int)row.Number("frequency_hz"), row => row.Number("diffuse_field_db"));

    /// <summary>A-weighted diffuse-field level of a tone or a narrow band, dB.</summary>
    /// <param name="frequency">Frequency.</param>
    /// <param name="level">Hearing level; for a band, that of a tone of the same sound pressure level.</param>
    /// <param name="splInCouplerDb">Sound pressure level in the coupler. Above 8 kHz, where no threshold is at hand, it is taken as it is, unweighted.</param>
    public static double OfTone(AudiometricFrequency frequency, HearingLevel level, double splInCouplerDb) =>
        _thresholds.TryGetValue(frequency.Hertz, out var threshold)
            ? level.Decibels + threshold + AWeightingDb(frequency.Hertz)
            : splInCouplerDb;

    /// <summary>A-weighted diffuse-field level of a broad noise, dB.</summary>
    /// <remarks>Carried over with the thresholds at 1 kHz, as its level is; the weighting is that of its own spectrum.</remarks>
    /// <param name="colour">Its spectrum.</param>
    /// <param name="level">Hearing level of a 1 kHz tone of the same root mean square.</param>
    public static double OfNoise(NoiseColour colour, HearingLevel level)
    {
        const int linesAnOctave = 96;
        var spectrum = NoiseSpectrum.Of(colour);
        var (power, weighted) = (0.0, 0.0);
        for (var hertz = spectrum.LowestHz; hertz <= spectrum.HighestHz; hertz *= Math.Pow(2, 1.0 / linesAnOctave))
        {
            // each line stands for a stretch as wide as it is high
            var part = spectrum.PowerAt(hertz) * hertz;
            power += part;
            weighted += part * Math.Pow(10, AWeightingDb(hertz) / 10);
        }

        return level.Decibels + _thresholds[1000] + (10 * Math.Log10(weighted / power));
    }

    private static double AWeightingDb(double hertz) => WeightingCurves.Db(FrequencyWeighting.A, hertz);
}
