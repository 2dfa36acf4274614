using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Laboratory and certificates as events. Pure.</summary>
internal static class EpcisCalibration
{
    public static IEnumerable<EpcisEvent> Of(RecordedFact entry, EpcisScene scene) => entry.Fact switch
    {
        SentToLaboratory sent => [scene.Seen("consigning", "unavailable") with { Destination = scene.Ids.Place(sent.Laboratory), Transactions = Errand(scene) }],
        TakenFromLaboratory => [scene.Come("accepting", "in_progress")],
        GearReported reported => Gear(reported.Gear, scene),
        _ => [],
    };

    // The kit tells its certificate with its gear: that is when the hub knows it.
    private static IEnumerable<EpcisEvent> Gear(KitGear gear, EpcisScene scene)
    {
        var records = new[] { gear.Calibration, gear.BoneVibrator?.Calibration }.OfType<CalibrationRecord>().Select(record => scene.Ids.Certificate(record.CertificateId)).Distinct().ToList();
        IReadOnlyList<string> things = [.. new[] { gear.UnitSerial, gear.TransducerSerial, gear.BoneVibrator?.Serial }.OfType<string>().Distinct().Select(scene.Ids.Thing)];
        return
        [
            scene.Seen(records.Count > 0 ? "accepting" : "inspecting", records.Count > 0 ? "conformant" : "non_conformant") with
            {
                Things = [scene.Case, .. things],
                Certificates = records,
                Transactions = [.. records.Select(record => ("cert", record))],
            },
            .. EpcisContents.Joined(scene),
        ];
    }

    private static IReadOnlyList<(string Type, string Id)> Errand(EpcisScene scene) =>
        scene.Before.Calibration is { } record ? [("cert", scene.Ids.Certificate(record.CertificateId))] : [];
}
