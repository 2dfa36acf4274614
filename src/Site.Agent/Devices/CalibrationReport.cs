using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Site.Agent.Devices;

/// <summary>A kit's calibration in words, for whoever sits at the kit.</summary>
internal static class CalibrationReport
{
    /// <summary>The calibration in use, and whether it may be used.</summary>
    public static void WriteInUse(TextWriter output, Gear gear, TimeProvider time)
    {
        output.WriteLine($"Unit {gear.Kit.UnitSerial}, transducer {gear.Kit.TransducerSerial}, {GearNames.Words(gear.Kit.TransducerKind)}, gear that {(gear.Kit.Use == GearUse.Moved ? "moves" : "stays in its room")}.");
        if (gear.Calibration is { } record)
        {
            WriteRecord(output, record, gear.Kit.Use);
        }

        var faults = gear.Faults(time);
        foreach (var fault in faults)
        {
            output.WriteLine($"No sound: {fault.Sentence} {fault.Mend}");
        }

        if (faults.Count == 0)
        {
            var left = CalibrationValidity.DaysLeft(gear.HoldsUntil!.Value, DateOnly.FromDateTime(time.GetLocalNow().Date));
            output.WriteLine(string.Create(CultureInfo.InvariantCulture, $"It may be used; {left} days are left."));
        }

        if (gear.Kit.BoneVibrator is { } vibrator)
        {
            output.WriteLine($"Bone vibrator {vibrator.Serial}.");
            if (gear.BoneCalibration is { } bone)
            {
                WriteRecord(output, bone, gear.Kit.Use);
            }

            foreach (var fault in gear.BoneFaults(time))
            {
                output.WriteLine($"No sound by bone: {fault.Sentence} {fault.Mend}");
            }
        }
    }

    /// <summary>What a new certificate changes, and what about it stands out.</summary>
    public static void WriteChanges(TextWriter output, KitDescription kit, CalibrationRecord? inUse, CalibrationRecord record)
    {
        WriteRecord(output, record, kit.Use);
        output.WriteLine(inUse is null ? "There is no record in use." : $"Against certificate {inUse.CertificateId} of {inUse.CalibratedOn:yyyy-MM-dd}, {(record.TransducerKind == TransducerKind.BoneVibrator ? "force level" : "SPL")} at digital full scale:");
        foreach (var change in CertificateComparison.Changes(inUse, record))
        {
            output.WriteLine("  " + Line(change));
        }

        foreach (var question in CertificateComparison.Questions(inUse, record))
        {
            output.WriteLine("Question: " + question);
        }
    }

    private static void WriteRecord(TextWriter output, CalibrationRecord record, GearUse use)
    {
        var air = record is { TemperatureC: { } temperature, PressureKPa: { } pressure } ? string.Create(CultureInfo.InvariantCulture, $" at {temperature:0.0} °C and {pressure:0.0} kPa") : string.Empty;
        output.WriteLine($"Certificate {record.CertificateId}, {record.Laboratory}, {GearNames.Words(record.Coupler)}, calibrated on {record.CalibratedOn:yyyy-MM-dd}{air}.");
        output.WriteLine($"It holds until {CalibrationValidity.HoldsUntil(record, use):yyyy-MM-dd} ({CalibrationValidity.Months(use)} months, and no longer than the certificate, which ends on {record.ValidUntil:yyyy-MM-dd}).");
    }

    private static string Line(CalibrationChange change)
    {
        var place = string.Create(CultureInfo.InvariantCulture, $"{(change.Ear == Ear.Right ? "right" : "left"),-5} {change.FrequencyHz,5} Hz: ");
        return change switch
        {
            { BeforeDb: null, AfterDb: { } made } => string.Create(CultureInfo.InvariantCulture, $"{place}new, {made:0.0} dB"),
            { BeforeDb: { } old, AfterDb: null } => string.Create(CultureInfo.InvariantCulture, $"{place}{old:0.0} dB, gone"),
            _ => string.Create(CultureInfo.InvariantCulture, $"{place}{change.BeforeDb:0.0} -> {change.AfterDb:0.0} dB ({change.ShiftDb:+0.0;-0.0;0.0}){(change.IsOutOfTolerance ? ", out of tolerance" : string.Empty)}"),
        };
    }
}
