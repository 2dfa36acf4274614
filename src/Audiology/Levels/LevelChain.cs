namespace TeleHearing.Audiology.Levels;

/// <summary>From hearing level to digital amplitude.</summary>
/// <remarks>
/// Digital level in dB re full scale = hearing level + reference threshold (transducer, coupler, frequency) - sound pressure level at digital
/// full scale (calibration record). The date and serial numbers of the record are judged by <see cref="CalibrationRules"/>.
/// </remarks>
public static class LevelChain
{
    /// <summary>Rounding allowed before a level counts as over a limit, dB: far below what any instrument resolves.</summary>
    internal const double RoundingDb = 1e-9;

    /// <summary>The amplitude that gives a hearing level, or why it may not be played.</summary>
    /// <param name="record">Calibration record.</param>
    /// <param name="ear">Ear.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="level">Hearing level.</param>
    public static LevelResult Resolve(CalibrationRecord record, Ear ear, AudiometricFrequency frequency, HearingLevel level)
    {
        ArgumentNullException.ThrowIfNull(record);
        var place = $"the {CalibrationEntryRules.Name(ear)} ear at {frequency}";
        if (record.Find(ear, frequency) is not { } entry)
        {
            return Refuse(LevelFaultCodes.CalibrationMissing, $"Certificate {record.CertificateId} has no point for {place}.", "Leave this frequency out, or have it calibrated.");
        }

        if (!ReferenceThresholds.TryGet(record.TransducerKind, record.Coupler, frequency, out var retspl))
        {
            return Refuse(LevelFaultCodes.CalibrationMismatch, $"There is no reference threshold for a {record.TransducerKind} transducer on coupler {record.Coupler} at {frequency}.", "Have it calibrated on a coupler that belongs to the transducer.");
        }

        if (CalibrationEntryRules.ValueFault(record, entry) is { } fault)
        {
            return new LevelResult.Refused(fault);
        }

        if (level.Decibels > entry.MaximumDbHl + RoundingDb)
        {
            return Refuse(LevelFaultCodes.OverCeiling, $"{level} is over the {entry.MaximumDbHl} dB HL this unit and transducer can give to {place}.", "Ask for a lower level.");
        }

        var splDb = level.Decibels + retspl;
        var amplitude = Math.Pow(10, (splDb - entry.SplAtFullScaleDb) / 20);
        return new LevelResult.Playable(Math.Min(amplitude, 1), splDb);
    }

    /// <summary>The highest multiple of the 5 dB step that can be played; absent when nothing can.</summary>
    public static double? HighestPlayableDbHl(CalibrationRecord record, Ear ear, AudiometricFrequency frequency)
    {
        ArgumentNullException.ThrowIfNull(record);
        return record.Find(ear, frequency) is { } entry && CalibrationEntryRules.ValueFault(record, entry) is null
            && ReferenceThresholds.TryGet(record.TransducerKind, record.Coupler, frequency, out _)
            ? HearingLevels.RoundDownToStep(entry.MaximumDbHl)
            : null;
    }

    private static LevelResult.Refused Refuse(string code, string sentence, string mend) => new(new LevelFault(code, sentence, mend));
}
