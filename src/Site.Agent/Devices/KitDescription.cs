using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>What is in this kit and how loud it may ever be: DIR/kit.json.</summary>
/// <param name="UnitSerial">Serial number of the unit that drives the transducer.</param>
/// <param name="TransducerSerial">Serial number of the transducer.</param>
/// <param name="TransducerKind">Kind of transducer.</param>
/// <param name="Microphone">Measurement microphone; absent when the kit has none, and then nothing is said about noise.</param>
/// <param name="Ceilings">Highest levels of this kit.</param>
internal sealed record KitDescription(
    string UnitSerial,
    string TransducerSerial,
    TransducerKind TransducerKind,
    MicrophoneDescription? Microphone,
    CeilingRules Ceilings);

/// <summary>The measurement microphone.</summary>
/// <param name="Serial">Serial number.</param>
/// <param name="SelfNoise">Its own noise by third-octave band, dB re 20 µPa; an empty list means not known.</param>
internal sealed record MicrophoneDescription(string Serial, IReadOnlyList<BandLevel> SelfNoise);

/// <summary>The kit as found at start: its description and its calibration record, if there is a readable one.</summary>
internal sealed record Gear(KitDescription Kit, CalibrationRecord? Calibration)
{
    /// <summary>Everything that forbids sound today.</summary>
    public IReadOnlyList<LevelFault> Faults(TimeProvider time) =>
        CalibrationRules.Faults(Calibration, DateOnly.FromDateTime(time.GetLocalNow().Date), Kit.UnitSerial, Kit.TransducerSerial) is { Count: > 0 } faults ? faults
        : Calibration!.TransducerKind != Kit.TransducerKind
            ? [new LevelFault(LevelFaultCodes.CalibrationMismatch, $"Certificate {Calibration.CertificateId} is for a {Calibration.TransducerKind} transducer, but this kit has a {Kit.TransducerKind} one.", "Use the transducer on the certificate, or the certificate of this transducer.")]
            : [];
}
