using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Levels;

/// <summary>From the level of a noise to its digital root mean square.</summary>
/// <remarks>
/// A full-scale sine has the root mean square 1 / sqrt 2 and gives the sound pressure level at digital full scale of the calibration record; a noise of the same root mean square gives the
/// same level where the earphone is as sensitive. The peaks of a noise are 12 dB over its root mean square (those of a sine 3 dB), and never go over the peaks of the loudest tone the record vouches
/// for: so a noise reaches about 9 dB less than a tone, and nothing of it is cut off.
/// </remarks>
public static class NoiseLevelChain
{
    /// <summary>Level of speech and speech-shaped noise in the coupler at 0 dB hearing level, over the reference threshold at 1 kHz, dB (ANSI S3.6, from memory).</summary>
    public const double SpeechOverOneKilohertzDb = 12.5;

    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);
    private static readonly double _peakOverSineDb = 20 * Math.Log10(NoisePeriod.HighestCrestFactor / Math.Sqrt(2));

    /// <summary>The root mean square of a narrow band that masks, or why it may not be played.</summary>
    /// <remarks>Level in the coupler = effective masking level + reference threshold + correction of ISO 389-4 for a third of an octave (form confirmed, numbers from memory).</remarks>
    /// <param name="record">Calibration record.</param>
    /// <param name="ear">Ear that is masked.</param>
    /// <param name="frequency">Middle of the band; 125 Hz to 8 kHz, since no correction is tabulated above.</param>
    /// <param name="effectiveMasking">Effective masking level: the hearing level of a tone of this frequency that the noise just masks in the same ear.</param>
    public static LevelResult Masker(CalibrationRecord record, Ear ear, AudiometricFrequency frequency, HearingLevel effectiveMasking) =>
        MaskingCorrections.TryGet(frequency, out var correction)
            ? Resolve(record, ear, frequency, threshold => effectiveMasking.Decibels + threshold + correction, MaskingCorrections.Status)
            : Refuse(LevelFaultCodes.CalibrationMissing, $"No effective masking is tabulated for a band at {frequency}.", "Mask at 8000 Hz or below, or ask for the band by its sound pressure level.");

    /// <summary>The root mean square of a narrow band of a sound pressure level in the coupler, or why it may not be played.</summary>
    /// <param name="record">Calibration record.</param>
    /// <param name="ear">Ear.</param>
    /// <param name="frequency">Middle of the band, whose calibration is taken for all of it.</param>
    /// <param name="splDb">Sound pressure level in the coupler, dB re 20 µPa.</param>
    public static LevelResult NarrowBand(CalibrationRecord record, Ear ear, AudiometricFrequency frequency, double splDb) =>
        Resolve(record, ear, frequency, _ => splDb, ValueStatus.Confirmed);

    /// <summary>The root mean square of speech-shaped noise, or why it may not be played.</summary>
    /// <remarks>Level in the coupler = hearing level for speech + reference threshold at 1 kHz + <see cref="SpeechOverOneKilohertzDb"/>, through the calibration at 1 kHz.</remarks>
    /// <param name="record">Calibration record.</param>
    /// <param name="ear">Ear.</param>
    /// <param name="level">Hearing level for speech.</param>
    public static LevelResult Speech(CalibrationRecord record, Ear ear, HearingLevel level) =>
        Resolve(record, ear, _oneKilohertz, threshold => level.Decibels + threshold + SpeechOverOneKilohertzDb, ValueStatus.FromMemory);

    /// <summary>The root mean square of white or pink noise, or why it may not be played.</summary>
    /// <remarks>The level is nominal: that of a 1 kHz tone of the same root mean square in the coupler. How the noise comes out over frequency is the earphone's doing and is not calibrated.</remarks>
    /// <param name="record">Calibration record.</param>
    /// <param name="ear">Ear.</param>
    /// <param name="splDb">Sound pressure level through the calibration at 1 kHz, dB re 20 µPa.</param>
    public static LevelResult Broadband(CalibrationRecord record, Ear ear, double splDb) =>
        Resolve(record, ear, _oneKilohertz, _ => splDb, ValueStatus.Confirmed);

    /// <summary>The sound pressure level in the coupler of 0 dB hearing level for speech, dB re 20 µPa (rule of ANSI S3.6, from memory); absent when transducer and coupler do not belong together.</summary>
    public static double? SpeechReferenceDb(TransducerKind kind, Coupler coupler) =>
        ReferenceThresholds.TryGet(kind, coupler, _oneKilohertz, out var threshold) ? threshold + SpeechOverOneKilohertzDb : null;

    private static LevelResult Resolve(CalibrationRecord record, Ear ear, AudiometricFrequency frequency, Func<double, double> splFor, ValueStatus rule)
    {
        ArgumentNullException.ThrowIfNull(record);

        // What forbids a tone of the lowest level forbids a noise: no point, a coupler of another transducer, values that cannot be right.
        if (LevelChain.Resolve(record, ear, frequency, HearingLevel.FromDecibels(HearingLevels.LowestPresentedDbHl)) is LevelResult.Refused refused)
        {
            return refused;
        }

        var entry = record.Find(ear, frequency)!;
        var threshold = ReferenceThresholds.Find(record.TransducerKind, record.Coupler, frequency)!;
        var splDb = splFor(threshold.RetsplDb);
        if (!double.IsFinite(splDb))
        {
            return Refuse(LevelFaultCodes.OverCeiling, "The level of the noise is no number.", "Ask for a level in dB.");
        }

        var highest = entry.MaximumDbHl + threshold.RetsplDb - _peakOverSineDb;
        if (splDb > highest + LevelChain.RoundingDb)
        {
            return Refuse(
                LevelFaultCodes.OverCeiling,
                $"The noise would have {splDb:0.0} dB SPL; {highest:0.0} dB SPL is the most this unit and transducer can give to the {CalibrationEntryRules.Name(ear)} ear at {frequency} without distorting its peaks.",
                "Ask for a lower level.");
        }

        var rms = Math.Pow(10, (splDb - entry.SplAtFullScaleDb) / 20) / Math.Sqrt(2);
        return new LevelResult.PlayableNoise(
            Math.Min(rms, 1 / NoisePeriod.HighestCrestFactor),
            splDb,
            HearingLevel.FromDecibels(splDb - threshold.RetsplDb),
            rule == ValueStatus.Confirmed ? threshold.Status : rule);
    }

    private static LevelResult.Refused Refuse(string code, string sentence, string mend) => new(new LevelFault(code, sentence, mend));
}
