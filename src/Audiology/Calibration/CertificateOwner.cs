using System.Globalization;

namespace TeleHearing.Audiology.Calibration;

/// <summary>Whether a certificate belongs to the gear it is meant for, on the day it is put in place.</summary>
internal static class CertificateOwner
{
    public static void Check(CertificateDraft draft, CertificateContext expected)
    {
        CheckSerial(draft, CertificateFields.UnitSerial, expected.UnitSerial, "unit");
        CheckSerial(draft, CertificateFields.TransducerSerial, expected.TransducerSerial, "transducer");
        if (draft.Kind is { } kind && kind != expected.TransducerKind)
        {
            draft.Fault(draft.LineOf(CertificateFields.Kind), CertificateFields.Kind, $"The certificate is for {GearNames.Words(kind)}; this kit has {GearNames.Words(expected.TransducerKind)}.");
        }

        CheckDays(draft, expected);
        foreach (var sentence in Duplicates(draft, expected))
        {
            draft.Fault(sentence.Line, sentence.Column, sentence.Sentence);
        }
    }

    private static void CheckSerial(CertificateDraft draft, string field, string expected, string what)
    {
        if (draft.Value(field) is { Length: > 0 } written && !string.Equals(written, expected, StringComparison.Ordinal))
        {
            draft.Fault(draft.LineOf(field), field, $"The certificate is for {what} {written}; this kit has {what} {expected}.");
        }
    }

    private static void CheckDays(CertificateDraft draft, CertificateContext expected)
    {
        if (draft.CalibratedOn is not { } made)
        {
            return;
        }

        if (made > expected.Today)
        {
            draft.Fault(draft.LineOf(CertificateFields.CalibratedOn), CertificateFields.CalibratedOn, $"{Day(made)} is after today, {Day(expected.Today)}. Check the date and the kit's clock.");
        }

        if (draft.ValidUntil is { } ends && ends < expected.Today)
        {
            draft.Fault(draft.LineOf(CertificateFields.ValidUntil), CertificateFields.ValidUntil, $"The certificate ended on {Day(ends)}.");
        }
        else if (made.AddMonths(CalibrationValidity.Months(expected.Use)) < expected.Today)
        {
            draft.Fault(
                draft.LineOf(CertificateFields.CalibratedOn),
                CertificateFields.CalibratedOn,
                $"The calibration is older than the {CalibrationValidity.Months(expected.Use)} months that hold for {(expected.Use == GearUse.Moved ? "gear that moves" : "gear that stays in its room")}.");
        }

        if (expected.InUse is { } used && made < used.CalibratedOn)
        {
            draft.Fault(draft.LineOf(CertificateFields.CalibratedOn), CertificateFields.CalibratedOn, $"The record in use, {used.CertificateId}, is newer: {Day(used.CalibratedOn)}.");
        }
    }

    /// <summary>What other records say of this kit's own gear. They are held against the kit, not against the certificate: what the certificate has wrong is said already.</summary>
    private static IEnumerable<CertificateFault> Duplicates(CertificateDraft draft, CertificateContext expected)
    {
        var known = expected.InUse is null ? expected.Known : [.. expected.Known, expected.InUse];
        if (draft.Value(CertificateFields.TransducerSerial) is { } serial && serial == expected.TransducerSerial)
        {
            var others = known.Where(record => record.TransducerSerial == serial && (record.UnitSerial != expected.UnitSerial || record.TransducerKind != expected.TransducerKind));
            foreach (var other in others.DistinctBy(record => (record.UnitSerial, record.TransducerKind)))
            {
                yield return new(
                    draft.LineOf(CertificateFields.TransducerSerial),
                    CertificateFields.TransducerSerial,
                    $"Transducer {serial} is on certificate {other.CertificateId} with unit {other.UnitSerial} as {GearNames.Words(other.TransducerKind)}. One serial number cannot be two transducers: find out which is right.");
            }
        }

        if (draft.Value(CertificateFields.CertificateId) is { Length: > 0 } id
            && known.FirstOrDefault(record => record.CertificateId == id
                && (record.CalibratedOn != (draft.CalibratedOn ?? record.CalibratedOn) || record.TransducerSerial != expected.TransducerSerial)) is { } first)
        {
            yield return new(
                draft.LineOf(CertificateFields.CertificateId),
                CertificateFields.CertificateId,
                $"Certificate number {id} is taken by the calibration of transducer {first.TransducerSerial} on {Day(first.CalibratedOn)}.");
        }
    }

    private static string Day(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
}
