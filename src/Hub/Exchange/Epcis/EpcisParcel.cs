using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>The way of the parcel as events. Pure.</summary>
/// <remarks>The carrier's own reference and the seal stay behind: with the one a carrier tells who lives at the other end, and both are typed by hand. What a carrier says and why are two fields (UNECE Recommendation 24).</remarks>
internal static class EpcisParcel
{
    /// <summary>Gravity by which shocks are given, m/s²: the standard acceleration of gravity, 9.80665 m/s² (3rd General Conference on Weights and Measures, 1901).</summary>
    public const double Gravity = 9.80665;

    public static IEnumerable<EpcisEvent> Of(KitFact fact, EpcisScene scene) => fact switch
    {
        KitPacked packed =>
        [
            .. EpcisContents.PutIn(scene, "packing", packed.Counts),
            EpcisContents.Judged(scene.Seen("packing", null), scene.Before.Items, packed.Counts) with { Disposition = "container_closed", Transactions = scene.Papers(packed.LoanId) },
        ],
        KitStaged staged => [scene.Seen("staging_outbound", "in_progress") with { Transactions = scene.Papers(staged.LoanId) }],
        KitSent sent => [Sent(sent, scene)],
        CarrierSaid said => [Said(said, scene)],
        KitCheckedIn opened =>
        [
            .. EpcisContents.TakenOut(scene, "unpacking"),
            EpcisContents.Judged(scene.Come("receiving", "in_progress"), scene.Before.Items, opened.Counts) with { Transactions = scene.Papers(opened.LoanId, "recadv"), Extensions = [Means(opened.Means)] },
        ],
        KitPackedUp packed =>
        [
            .. EpcisContents.PutIn(scene, "repackaging", packed.Counts),
            EpcisContents.Judged(scene.Seen("repackaging", null), scene.Before.Items, packed.Counts) with { Disposition = "container_closed", Transactions = scene.Papers(packed.LoanId) },
        ],
        KitReceived received =>
        [
            .. received.Counts.Count > 0 ? EpcisContents.TakenOut(scene, "unpacking") : [],
            EpcisContents.Judged(scene.Come("receiving", null), scene.Before.Items, received.Counts) with
            {
                Disposition = "returned",
                Transactions = scene.Papers(received.LoanId, "rma", "recadv"),
                Extensions = [Means(received.Means), ("upu:event", "EMI")],
            },
        ],
        _ => [],
    };

    private static EpcisEvent Sent(KitSent sent, EpcisScene scene) => (sent.Leg == KitLeg.Out
        ? scene.Seen("shipping", "in_transit") with { Destination = scene.Site(scene.After), Transactions = scene.Papers(sent.LoanId, "desadv") }
        : scene.Seen("shipping", "returned") with { Destination = scene.Ids.Clinic, Transactions = scene.Papers(sent.LoanId, "desadv", "rma") }) with
    {
        Extensions = [Means(sent.Means), ("kit:localDay", sent.On.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)), ("upu:event", "EMA")],
    };

    private static EpcisEvent Said(CarrierSaid said, EpcisScene scene)
    {
        var delivered = said.Leg == KitLeg.Out ? "unavailable" : "returned";
        var (step, disposition) = said.Status switch
        {
            CarrierStatus.HandedOver => ("shipping", "in_transit"),
            CarrierStatus.Departed => ("departing", "in_transit"),
            CarrierStatus.UnderWay => ("transporting", "in_transit"),
            CarrierStatus.Arrived => ("arriving", "in_transit"),
            CarrierStatus.DeliveryFailed => ("holding", "in_transit"),
            _ => ("arriving", delivered),
        };
        var happened = scene.Seen(step, disposition);
        return happened with
        {
            ReadPoint = said.Place is { } place ? scene.Ids.Place(place) : happened.ReadPoint,
            Transactions = scene.Papers(said.LoanId, said.Leg == KitLeg.Out ? ["desadv"] : ["desadv", "rma"]),
            Readings = said.Readings is { } readings ? [.. Read(readings, scene.Limits)] : [],
            Extensions =
            [
                Means(said.Means),
                ("kit:carrierStatus", said.Status.ToString()),
                ("kit:carrierReason", said.Reason.ToString()),
                ("upu:event", EpcisWords.PostCode(said.Status)),
            ],
        };
    }

    /// <summary>Units: CEL degree Celsius and MSK metre per second squared, UN/ECE Recommendation 20.</summary>
    private static IEnumerable<EpcisReading> Read(ParcelReadings readings, ParcelLimits limits)
    {
        if (readings.LowestC is not null || readings.HighestC is not null)
        {
            yield return new EpcisReading("Temperature", readings.LowestC, readings.HighestC, "CEL", limits.Name, limits.TooColdOrHot(readings));
        }

        if (readings.HighestShockG is { } shock)
        {
            yield return new EpcisReading("Acceleration", null, shock * Gravity, "MSK", limits.HighestShockG is null ? null : limits.Name, limits.TooHard(readings));
        }
    }

    private static (string Name, object Value) Means(EntryMeans means) => ("kit:means", means.ToString());
}
