using System.Globalization;

namespace TeleHearing.Audiology.Levels;

/// <summary>Whether a calibration record may be used: without a sound one there is no sound.</summary>
public static class CalibrationRules
{
    /// <summary>Lowest believable sound pressure level at digital full scale, dB. A design limit, wide on purpose: it catches an empty field or a wrong unit.</summary>
    public const double LowestSplAtFullScaleDb = 60;

    /// <summary>Highest believable sound pressure level at digital full scale, dB. A design limit.</summary>
    public const double HighestSplAtFullScaleDb = 160;

    /// <summary>Highest believable maximum level, dB HL: the most capable instruments give 120 dB HL by air (IEC 60645-1, from memory).</summary>
    public const double HighestMaximumDbHl = 120;

    /// <summary>Everything wrong with a record, all at once; empty when it may be used.</summary>
    /// <param name="record">The record found on the kit; absent when there is none.</param>
    /// <param name="today">Today's date where the kit is.</param>
    /// <param name="unitSerial">Serial number of the unit in use.</param>
    /// <param name="transducerSerial">Serial number of the transducer in use.</param>
    public static IReadOnlyList<LevelFault> Faults(CalibrationRecord? record, DateOnly today, string unitSerial, string transducerSerial)
    {
        if (record is null)
        {
            return [new(LevelFaultCodes.CalibrationMissing, "There is no calibration record for this unit and transducer.", "Calibrate the unit with its transducer, or put its record on the kit.")];
        }

        return [.. DateFaults(record, today), .. GearFaults(record, unitSerial, transducerSerial), .. CalibrationEntryRules.Faults(record)];
    }

    private static IEnumerable<LevelFault> DateFaults(CalibrationRecord record, DateOnly today)
    {
        if (record.ValidUntil < record.CalibratedOn)
        {
            yield return new(LevelFaultCodes.CalibrationInvalid, $"Certificate {record.CertificateId} ends before the day of its calibration.", "Have the certificate corrected by the laboratory.");
        }

        if (record.CalibratedOn > today)
        {
            yield return new(LevelFaultCodes.CalibrationInvalid, $"Certificate {record.CertificateId} is dated {Day(record.CalibratedOn)}, after today.", "Check the kit's clock and the date on the certificate.");
        }

        if (record.ValidUntil < today)
        {
            yield return new(LevelFaultCodes.CalibrationExpired, $"Certificate {record.CertificateId} was valid until {Day(record.ValidUntil)}.", "Send the unit and transducer for calibration.");
        }
    }

    private static IEnumerable<LevelFault> GearFaults(CalibrationRecord record, string unitSerial, string transducerSerial)
    {
        if (string.IsNullOrWhiteSpace(record.CertificateId) || string.IsNullOrWhiteSpace(record.Laboratory))
        {
            yield return new(LevelFaultCodes.CalibrationInvalid, "The calibration record does not name its certificate and laboratory.", "Have the record completed by the laboratory.");
        }

        if (string.IsNullOrWhiteSpace(unitSerial) || !string.Equals(record.UnitSerial, unitSerial, StringComparison.Ordinal))
        {
            yield return new(LevelFaultCodes.CalibrationMismatch, $"Certificate {record.CertificateId} is for unit {record.UnitSerial}, but unit {unitSerial} is in use.", "Use the unit on the certificate, or the certificate of this unit.");
        }

        if (string.IsNullOrWhiteSpace(transducerSerial) || !string.Equals(record.TransducerSerial, transducerSerial, StringComparison.Ordinal))
        {
            yield return new(LevelFaultCodes.CalibrationMismatch, $"Certificate {record.CertificateId} is for transducer {record.TransducerSerial}, but transducer {transducerSerial} is in use.", "Connect the transducer on the certificate, or use the certificate of this transducer.");
        }

        if (!ReferenceThresholds.CouplersOf(record.TransducerKind).Contains(record.Coupler))
        {
            yield return new(LevelFaultCodes.CalibrationMismatch, $"Certificate {record.CertificateId} was made on coupler {record.Coupler}, which has no reference thresholds for a {record.TransducerKind} transducer.", "Have it calibrated on a coupler that belongs to the transducer.");
        }
    }

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
