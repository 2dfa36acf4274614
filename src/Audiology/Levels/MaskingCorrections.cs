using System.Collections.Frozen;
using TeleHearing.Audiology.Tables;

namespace TeleHearing.Audiology.Levels;

/// <summary>What makes narrow-band noise mask: its level in the coupler at 0 dB effective masking, over the reference threshold of the same frequency (ISO 389-4).</summary>
/// <remarks>The form of the standard, a number added to the reference threshold for a band of a third or half an octave, is confirmed; the numbers are from memory. None is tabulated above 8 kHz.</remarks>
public static class MaskingCorrections
{
    private static readonly FrozenDictionary<int, double> _thirdOctave =
        EmbeddedTable.Read("masking_noise_narrow_band.csv").Rows.ToFrozenDictionary(row => (int)row.Number("frequency_hz"), row => row.Number("third_octave_add_db"));

    /// <summary>How well the numbers are known.</summary>
    public static ValueStatus Status => ValueStatus.FromMemory;

    /// <summary>Whether there is a correction at a frequency for a band of a third of an octave.</summary>
    /// <param name="frequency">Middle of the band.</param>
    /// <param name="correctionDb">dB to add to the reference threshold; 0 when there is none.</param>
    public static bool TryGet(AudiometricFrequency frequency, out double correctionDb) => _thirdOctave.TryGetValue(frequency.Hertz, out correctionDb);
}
