using TeleHearing.Audiology.PureTone;

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
        return Resolve(record, ReferenceThresholds.RoutesOf(record.TransducerKind)[0], ear, frequency, level);
    }

    /// <summary>The amplitude that gives a hearing level by a route, or why it may not be played.</summary>
    /// <param name="record">Calibration record of the transducer that gives it.</param>
    /// <param name="route">How the tone reaches the ear: a vibrator needs more force on the forehead, and gives less there.</param>
    /// <param name="ear">Ear, that is, output channel.</param>
    /// <param name="frequency">Frequency.</param>
    /// <param name="level">Hearing level.</param>
    public static LevelResult Resolve(CalibrationRecord record, ConductionRoute route, Ear ear, AudiometricFrequency frequency, HearingLevel level)
    {
        ArgumentNullException.ThrowIfNull(record);
        var place = $"the {CalibrationEntryRules.Name(ear)} ear at {frequency}";
        if (record.Find(ear, frequency) is not { } entry)
        {
            return Refuse(LevelFaultCodes.CalibrationMissing, $"Certificate {record.CertificateId} has no point for {place}.", "Leave this frequency out, or have it calibrated.");
        }

        if (!ReferenceThresholds.RoutesOf(record.TransducerKind).Contains(route))
        {
            return Refuse(LevelFaultCodes.CalibrationMismatch, $"Certificate {record.CertificateId} is for a {record.TransducerKind} transducer, which gives no tone by {Name(route)}.", "Use the transducer of that route with its own certificate.");
        }

        if (ReferenceThresholds.Find(record.TransducerKind, record.Coupler, route, frequency)?.RetsplDb is not { } retspl)
        {
            return Refuse(LevelFaultCodes.CalibrationMismatch, $"There is no reference threshold for a {record.TransducerKind} transducer on coupler {record.Coupler} at {frequency}.", "Have it calibrated on a coupler that belongs to the transducer.");
        }

        if (CalibrationEntryRules.ValueFault(record, entry) is { } fault)
        {
            return new LevelResult.Refused(fault);
        }

        var maximum = MaximumDbHl(record, entry, route, retspl);
        if (level.Decibels > maximum + RoundingDb)
        {
            return Refuse(LevelFaultCodes.OverCeiling, $"{level} is over the {maximum} dB HL this unit and transducer can give to {place}.", "Ask for a lower level.");
        }

        var splDb = level.Decibels + retspl;
        var amplitude = Math.Pow(10, (splDb - entry.SplAtFullScaleDb) / 20);
        return new LevelResult.Playable(Math.Min(amplitude, 1), splDb);
    }

    /// <summary>The highest multiple of the 5 dB step that can be played; absent when nothing can.</summary>
    public static double? HighestPlayableDbHl(CalibrationRecord record, Ear ear, AudiometricFrequency frequency)
    {
        ArgumentNullException.ThrowIfNull(record);
        return HighestPlayableDbHl(record, ReferenceThresholds.RoutesOf(record.TransducerKind)[0], ear, frequency);
    }

    /// <summary>The highest multiple of the 5 dB step that can be played by a route; absent when nothing can.</summary>
    public static double? HighestPlayableDbHl(CalibrationRecord record, ConductionRoute route, Ear ear, AudiometricFrequency frequency)
    {
        ArgumentNullException.ThrowIfNull(record);
        return record.Find(ear, frequency) is { } entry && CalibrationEntryRules.ValueFault(record, entry) is null
            && ReferenceThresholds.Find(record.TransducerKind, record.Coupler, route, frequency)?.RetsplDb is { } retspl
            ? HearingLevels.RoundDownToStep(MaximumDbHl(record, entry, route, retspl))
            : null;
    }

    /// <summary>The record's maximum is that of the route of its certificate: by another one the same force or pressure is another hearing level.</summary>
    private static double MaximumDbHl(CalibrationRecord record, CalibrationEntry entry, ConductionRoute route, double retspl)
    {
        var certified = ReferenceThresholds.RoutesOf(record.TransducerKind)[0];
        return route == certified || !ReferenceThresholds.TryGet(record.TransducerKind, record.Coupler, AudiometricFrequency.FromHertz(entry.FrequencyHz), out var reference)
            ? entry.MaximumDbHl
            : entry.MaximumDbHl + reference - retspl;
    }

    private static string Name(ConductionRoute route) => route == ConductionRoute.Air ? "air" : "bone";

    private static LevelResult.Refused Refuse(string code, string sentence, string mend) => new(new LevelFault(code, sentence, mend));
}
