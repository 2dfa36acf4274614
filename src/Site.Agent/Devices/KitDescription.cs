using System.Globalization;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;

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
    CeilingRules Ceilings)
{
    /// <summary>How the owner uses it, which decides how long a calibration holds. A kit that says nothing is taken for one that moves, the stricter rule.</summary>
    public GearUse Use { get; init; } = GearUse.Moved;

    /// <summary>Name of the sound output that drives the transducer, as the verb <c>devices</c> lists it; absent when this kit can only be simulated.</summary>
    public string? Output { get; init; }

    /// <summary>Sound the output holds ready, ms, 20 to 1000; absent for the usual. More survives a busier machine, less falls silent sooner.</summary>
    public double? OutputLatencyMs { get; init; }
}

/// <summary>The measurement microphone.</summary>
/// <param name="Serial">Serial number.</param>
/// <param name="SelfNoise">Its own noise by third-octave band, dB re 20 µPa; an empty list means not known.</param>
/// <param name="SplAtRmsOneDb">Its sensitivity with the input it is plugged into: sound pressure level of a signal whose RMS is 1.0 (full scale 1.0), dB re 20 µPa. Absent, only a simulated input, which knows it itself, measures anything.</param>
internal sealed record MicrophoneDescription(string Serial, IReadOnlyList<BandLevel> SelfNoise, double? SplAtRmsOneDb = null)
{
    /// <summary>Name of the sound input it is plugged into, as the verb <c>devices</c> lists it; absent when it can only be simulated.</summary>
    public string? Input { get; init; }
}

/// <summary>The kit as found at start: its description and its calibration record, if there is a readable one.</summary>
internal sealed record Gear(KitDescription Kit, CalibrationRecord? Calibration)
{
    /// <summary>Last day on which the calibration holds, by the rule for the kit's use and the certificate itself; absent without a record.</summary>
    public DateOnly? HoldsUntil => Calibration is { } record ? CalibrationValidity.HoldsUntil(record, Kit.Use) : null;

    /// <summary>Everything that forbids sound today.</summary>
    public IReadOnlyList<LevelFault> Faults(TimeProvider time) => Faults(DateOnly.FromDateTime(time.GetLocalNow().Date));

    /// <summary>What the kit tells the hub of itself.</summary>
    public KitGear Told() => new(Kit.UnitSerial, Kit.TransducerSerial, Kit.TransducerKind, Kit.Use, Calibration);

    private IReadOnlyList<LevelFault> Faults(DateOnly today) =>
        CalibrationRules.Faults(Calibration, today, Kit.UnitSerial, Kit.TransducerSerial) is { Count: > 0 } faults ? faults
        : Calibration!.TransducerKind != Kit.TransducerKind
            ? [new LevelFault(LevelFaultCodes.CalibrationMismatch, $"Certificate {Calibration.CertificateId} is for a {Calibration.TransducerKind} transducer, but this kit has a {Kit.TransducerKind} one.", "Use the transducer on the certificate, or the certificate of this transducer.")]
        : HoldsUntil < today
            ? [new LevelFault(LevelFaultCodes.CalibrationExpired, string.Create(CultureInfo.InvariantCulture, $"Certificate {Calibration.CertificateId} held until {HoldsUntil:yyyy-MM-dd}: {CalibrationValidity.Months(Kit.Use)} months from calibration, as for {(Kit.Use == GearUse.Moved ? "gear that moves" : "gear that stays in its room")}."), "Send the unit and transducer for calibration.")]
            : [];
}
