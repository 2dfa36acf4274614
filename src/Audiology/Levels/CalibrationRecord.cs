namespace TeleHearing.Audiology.Levels;

/// <summary>One calibrated point.</summary>
/// <param name="Ear">Ear, that is, output channel.</param>
/// <param name="FrequencyHz">Audiometric frequency in Hz.</param>
/// <param name="SplAtFullScaleDb">Sound pressure level in the record's coupler of a sine whose peak is digital 1.0, dB re 20 µPa; of a bone vibrator the force level, dB re 1 µN.</param>
/// <param name="MaximumDbHl">Highest level this unit and transducer give undistorted here, dB HL; of a bone vibrator on the mastoid.</param>
public sealed record CalibrationEntry(Ear Ear, int FrequencyHz, double SplAtFullScaleDb, double MaximumDbHl)
{
    /// <summary>Expanded uncertainty of the sound pressure level as the laboratory states it, dB; absent in records from before it was kept.</summary>
    public double? UncertaintyDb { get; init; }
}

/// <summary>The calibration of one unit with one transducer.</summary>
/// <param name="CertificateId">Certificate number.</param>
/// <param name="UnitSerial">Serial number of the unit that drives the transducer.</param>
/// <param name="TransducerSerial">Serial number of the transducer.</param>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="Coupler">Coupler it was made on.</param>
/// <param name="CalibratedOn">Day of calibration.</param>
/// <param name="ValidUntil">Last day on which it holds.</param>
/// <param name="Laboratory">Who made it.</param>
/// <param name="Entries">Points, at most one for each ear and frequency.</param>
public sealed record CalibrationRecord(
    string CertificateId,
    string UnitSerial,
    string TransducerSerial,
    TransducerKind TransducerKind,
    Coupler Coupler,
    DateOnly CalibratedOn,
    DateOnly ValidUntil,
    string Laboratory,
    IReadOnlyList<CalibrationEntry> Entries)
{
    /// <summary>Air temperature at the calibration in degrees Celsius; absent in records from before it was kept.</summary>
    public double? TemperatureC { get; init; }

    /// <summary>Static air pressure at the calibration in kPa; absent in records from before it was kept.</summary>
    public double? PressureKPa { get; init; }

    /// <summary>Where it was calibrated, when that is not the laboratory's own room.</summary>
    public string? Site { get; init; }

    /// <summary>The point for an ear and frequency; absent when it was not calibrated.</summary>
    public CalibrationEntry? Find(Ear ear, AudiometricFrequency frequency) =>
        Entries?.FirstOrDefault(entry => entry is not null && entry.Ear == ear && entry.FrequencyHz == frequency.Hertz);

    /// <inheritdoc />
    public bool Equals(CalibrationRecord? other) =>
        other is not null
        && (CertificateId, UnitSerial, TransducerSerial, TransducerKind, Coupler, CalibratedOn, ValidUntil, Laboratory)
            == (other.CertificateId, other.UnitSerial, other.TransducerSerial, other.TransducerKind, other.Coupler, other.CalibratedOn, other.ValidUntil, other.Laboratory)
        && (TemperatureC, PressureKPa, Site) == (other.TemperatureC, other.PressureKPa, other.Site)
        && (Entries ?? []).SequenceEqual(other.Entries ?? []);

    /// <inheritdoc />
    public override int GetHashCode() => HashCode.Combine(CertificateId, UnitSerial, TransducerSerial, ValidUntil);
}
