using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Hosting;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>What kind of certificate a simulated kit gets.</summary>
internal enum CertificateChoice
{
    Valid,
    Expired,
    Missing,
}

/// <summary>Writes the description of a simulated kit, with an invented laboratory's certificate.</summary>
internal static class Provisioner
{
    /// <summary>Sound pressure level of a sine of peak 1.0 in the simulated coupler, dB re 20 µPa. The two channels differ, so that mixing them up shows.</summary>
    public const double LeftSplAtFullScaleDb = 130.0;

    /// <inheritdoc cref="LeftSplAtFullScaleDb"/>
    public const double RightSplAtFullScaleDb = 130.8;

    /// <summary>Force level of a sine of peak 1.0 in the simulated mechanical coupler, dB re 1 µN, by channel.</summary>
    public const double LeftForceAtFullScaleDb = 140.0;

    /// <inheritdoc cref="LeftForceAtFullScaleDb"/>
    public const double RightForceAtFullScaleDb = 140.6;

    /// <summary>How far under every ambient limit the simulated microphone's own noise lies is not for the kit to say; it is simply very low.</summary>
    private const double SimulatedSelfNoiseDbSpl = -20;
    private const TransducerKind Kind = TransducerKind.Circumaural;

    /// <summary>The simulated kit.</summary>
    public static KitDescription Kit { get; } = new(
        "SIM-UNIT-0001",
        "SIM-CIRC-0001",
        Kind,
        new MicrophoneDescription("SIM-MIC-0001", [.. ThirdOctaveBands.Nominal.Select(band => new BandLevel(band, SimulatedSelfNoiseDbSpl))], SimulatedSoundCard.MicrophoneSplAtRmsOneDb),
        CeilingRules.Usual(Kind) with { Ceilings = [.. CeilingRules.Usual(Kind).Ceilings, .. CeilingRules.Usual(TransducerKind.BoneVibrator).Ceilings] })
    {
        BoneVibrator = new BoneVibratorDescription("SIM-BONE-0001"),
    };

    /// <summary>Its certificate.</summary>
    /// <param name="today">Today.</param>
    /// <param name="expired">Whether it ran out yesterday.</param>
    public static CalibrationRecord Certificate(DateOnly today, bool expired)
    {
        var calibratedOn = expired ? today.AddMonths(-13) : today.AddDays(-14);
        return new CalibrationRecord(
            "SIM-CERT-0001",
            Kit.UnitSerial,
            Kit.TransducerSerial,
            Kind,
            Coupler.Iec60318Part1WithFlatPlate,
            calibratedOn,
            expired ? today.AddDays(-1) : calibratedOn.AddMonths(12),
            "Alder Lane Acoustics (invented)",
            [.. AudiometricFrequency.All.SelectMany(frequency => new[] { Entry(Ear.Left, frequency), Entry(Ear.Right, frequency) })]);
    }

    /// <summary>The certificate of its bone vibrator.</summary>
    public static CalibrationRecord BoneCertificate(DateOnly today, bool expired) => Certificate(today, expired) with
    {
        CertificateId = "SIM-CERT-B-0001",
        TransducerSerial = Kit.BoneVibrator!.Serial,
        TransducerKind = TransducerKind.BoneVibrator,
        Coupler = Coupler.Iec60318Part6,
        Entries = [.. BoneFrequencies.Tested.SelectMany(frequency => new[] { BoneEntry(Ear.Left, frequency), BoneEntry(Ear.Right, frequency) })],
    };

    /// <summary>Writes DIR/kit.json, DIR/calibration.json and DIR/calibration-bone.json where absent.</summary>
    /// <param name="folder">Data folder.</param>
    /// <param name="certificate">Kind of certificate.</param>
    /// <param name="time">Clock.</param>
    /// <param name="number">Number in the serial numbers, so that two simulated kits of one clinic are not taken for the same gear.</param>
    /// <returns>What was done, a line a file.</returns>
    /// <exception cref="FatalFaultException">The folder holds another kit, or one that cannot be read; nothing was changed.</exception>
    public static IReadOnlyList<string> Write(string folder, CertificateChoice certificate, TimeProvider time, int number = 1)
    {
        Directory.CreateDirectory(folder);
        if (File.Exists(Path.Combine(folder, GearFiles.KitFile)) && GearFiles.LoadQuietly(folder).Kit.UnitSerial is var there && there != Numbered(Kit.UnitSerial, number))
        {
            throw new FatalFaultException($"{folder} holds {Held(there)} already. Nothing was changed. Choose an empty folder for kit {number}.");
        }

        var kit = GearFiles.WriteIfAbsent(Path.Combine(folder, GearFiles.KitFile), Kit with { UnitSerial = Numbered(Kit.UnitSerial, number), TransducerSerial = Numbered(Kit.TransducerSerial, number), BoneVibrator = new BoneVibratorDescription(Numbered(Kit.BoneVibrator!.Serial, number)) });
        if (certificate == CertificateChoice.Missing)
        {
            return [kit];
        }

        var today = DateOnly.FromDateTime(time.GetLocalNow().Date);
        var expired = certificate == CertificateChoice.Expired;
        return
        [
            kit,
            GearFiles.WriteIfAbsent(Path.Combine(folder, GearFiles.CalibrationFile), Numbered(Certificate(today, expired), number)),
            GearFiles.WriteIfAbsent(Path.Combine(folder, GearFiles.BoneCalibrationFile), Numbered(BoneCertificate(today, expired), number)),
        ];
    }

    /// <summary>The kit with this serial number in words.</summary>
    private static string Held(string unitSerial) =>
        unitSerial.StartsWith(Kit.UnitSerial[..^4], StringComparison.Ordinal) && int.TryParse(unitSerial[(Kit.UnitSerial.Length - 4)..], NumberStyles.None, CultureInfo.InvariantCulture, out var number)
            ? string.Create(CultureInfo.InvariantCulture, $"kit {number} (unit {unitSerial})")
            : $"the kit of unit {unitSerial}";

    private static CalibrationRecord Numbered(CalibrationRecord record, int number) => record with
    {
        CertificateId = Numbered(record.CertificateId, number),
        UnitSerial = Numbered(record.UnitSerial, number),
        TransducerSerial = Numbered(record.TransducerSerial, number),
    };

    private static string Numbered(string serial, int number) => string.Create(CultureInfo.InvariantCulture, $"{serial[..^4]}{number:0000}");

    private static CalibrationEntry BoneEntry(Ear channel, AudiometricFrequency frequency)
    {
        var force = channel == Ear.Left ? LeftForceAtFullScaleDb : RightForceAtFullScaleDb;
        var reachable = force - ReferenceThresholds.Get(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, frequency);
        return new CalibrationEntry(channel, frequency.Hertz, force, Math.Min(Kit.Ceilings.HighestFor(TransducerKind.BoneVibrator, frequency) ?? 0, HearingLevels.RoundDownToStep(reachable)));
    }

    private static CalibrationEntry Entry(Ear ear, AudiometricFrequency frequency)
    {
        var splAtFullScale = ear == Ear.Left ? LeftSplAtFullScaleDb : RightSplAtFullScaleDb;
        var reachable = splAtFullScale - ReferenceThresholds.Get(Kind, Coupler.Iec60318Part1WithFlatPlate, frequency);
        var ceiling = Kit.Ceilings.HighestFor(Kind, frequency) ?? 0;
        return new CalibrationEntry(ear, frequency.Hertz, splAtFullScale, Math.Min(ceiling, HearingLevels.RoundDownToStep(reachable)));
    }
}
