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

    /// <summary>Bone vibrator, which is plugged into the output of the ear under test in place of its earphone; absent when the kit has none. Its certificate is calibration-bone.json.</summary>
    public BoneVibratorDescription? BoneVibrator { get; init; }

    /// <summary>Name of the sound output that drives the transducer, as the verb <c>devices</c> lists it; absent when this kit can only be simulated.</summary>
    public string? Output { get; init; }

    /// <summary>Sound the output holds ready, ms, 20 to 1000; absent for the usual. More survives a busier machine, less falls silent sooner.</summary>
    public double? OutputLatencyMs { get; init; }
}

/// <summary>The bone vibrator.</summary>
/// <param name="Serial">Serial number.</param>
internal sealed record BoneVibratorDescription(string Serial);

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

    /// <summary>Calibration record of the bone vibrator, if there is a readable one.</summary>
    public CalibrationRecord? BoneCalibration { get; init; }

    /// <summary>Everything that forbids sound by bone today.</summary>
    public IReadOnlyList<LevelFault> BoneFaults(TimeProvider time) => Kit.BoneVibrator is { } vibrator
        ? Faults(BoneCalibration, vibrator.Serial, TransducerKind.BoneVibrator, DateOnly.FromDateTime(time.GetLocalNow().Date))
        : [new LevelFault(RefusalCodes.GearMissing, "This kit has no bone vibrator.", "Leave bone conduction out, or use a kit that has one.")];

    /// <summary>Everything that forbids sound today.</summary>
    public IReadOnlyList<LevelFault> Faults(TimeProvider time) => Faults(DateOnly.FromDateTime(time.GetLocalNow().Date));

    /// <summary>What the kit tells the hub of itself.</summary>
    public KitGear Told() => new(Kit.UnitSerial, Kit.TransducerSerial, Kit.TransducerKind, Kit.Use, Calibration)
    {
        BoneVibrator = Kit.BoneVibrator is { } vibrator ? new BoneVibratorGear(vibrator.Serial, BoneCalibration) : null,
    };

    private IReadOnlyList<LevelFault> Faults(DateOnly today) => Faults(Calibration, Kit.TransducerSerial, Kit.TransducerKind, today);

    private IReadOnlyList<LevelFault> Faults(CalibrationRecord? record, string serial, TransducerKind kind, DateOnly today)
    {
        if (CalibrationRules.Faults(record, today, Kit.UnitSerial, serial) is { Count: > 0 } faults)
        {
            return faults;
        }

        var held = CalibrationValidity.HoldsUntil(record!, Kit.Use);
        return record!.TransducerKind != kind
            ? [new LevelFault(LevelFaultCodes.CalibrationMismatch, $"Certificate {record.CertificateId} is for a {record.TransducerKind} transducer, but this kit has a {kind} one.", "Use the transducer on the certificate, or the certificate of this transducer.")]
            : held < today
            ? [new LevelFault(LevelFaultCodes.CalibrationExpired, string.Create(CultureInfo.InvariantCulture, $"Certificate {record.CertificateId} held until {held:yyyy-MM-dd}: {CalibrationValidity.Months(Kit.Use)} months from calibration, as for {(Kit.Use == GearUse.Moved ? "gear that moves" : "gear that stays in its room")}."), "Send the unit and transducer for calibration.")]
            : [];
    }
}
