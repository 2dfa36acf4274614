using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Calibration;

/// <summary>The gear a certificate is meant for, and what is known of its past.</summary>
/// <param name="UnitSerial">Serial number of the unit.</param>
/// <param name="TransducerSerial">Serial number of its transducer.</param>
/// <param name="TransducerKind">Kind of the transducer.</param>
/// <param name="Use">How the gear is used.</param>
/// <param name="Today">Today where the kit is.</param>
/// <param name="InUse">Record in use; absent when there is none.</param>
/// <param name="Known">Every other record that is known, of this kit and of others.</param>
public sealed record CertificateContext(
    string UnitSerial,
    string TransducerSerial,
    TransducerKind TransducerKind,
    GearUse Use,
    DateOnly Today,
    CalibrationRecord? InUse,
    IReadOnlyList<CalibrationRecord> Known);
