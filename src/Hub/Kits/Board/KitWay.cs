using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>Stages in the groups a coordinator thinks in.</summary>
internal static class KitWay
{
    /// <summary>Away for a loan: handed over and not yet taken in.</summary>
    public static bool IsAway(KitStage stage) => stage is KitStage.InTransitOut or KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse or KitStage.AwaitingReturn or KitStage.InTransitBack or KitStage.MissingParcel;

    /// <summary>In its case for a loan and still here.</summary>
    public static bool IsPacked(KitStage stage) => stage is KitStage.Packed or KitStage.AwaitingPickup;

    /// <summary>No longer the clinic's to send.</summary>
    public static bool IsGone(KitStage stage) => stage is KitStage.Lost or KitStage.Stolen or KitStage.Retired;

    /// <summary>Where its way says that it is; absent at base, where it is as it was recorded.</summary>
    public static string? Where(KitStanding kit) => (kit.Stage, kit.Loan?.Place) switch
    {
        (KitStage.InTransitOut, { } place) => $"with the carrier, to {place}",
        (KitStage.InTransitBack, { } place) => $"with the carrier, from {place}",
        (KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse or KitStage.AwaitingReturn, { } place) => place,
        (KitStage.AtCalibration, _) => kit.Laboratory?.Name,
        (KitStage.MissingParcel or KitStage.Lost or KitStage.Stolen, _) => "not known",
        _ => null,
    };

    /// <summary>What a day at a stage is in the timeline; absent for days on the shelf.</summary>
    public static KitSpanKind? Span(KitStage stage, bool onLoan) => stage switch
    {
        KitStage.Packed or KitStage.AwaitingPickup => KitSpanKind.Packed,
        KitStage.InTransitOut => KitSpanKind.Out,
        KitStage.Delivered or KitStage.CheckedInAtSite => KitSpanKind.AtSite,
        KitStage.InUse => onLoan ? KitSpanKind.AtSite : null,
        KitStage.AwaitingReturn or KitStage.InTransitBack => KitSpanKind.Back,
        KitStage.Received or KitStage.Quarantine or KitStage.Cleaning or KitStage.Inspection or KitStage.Restock or KitStage.FunctionCheck => KitSpanKind.Turnaround,
        KitStage.Repair => KitSpanKind.Repair,
        KitStage.AtCalibration => KitSpanKind.Calibration,
        KitStage.MissingParcel or KitStage.Lost or KitStage.Stolen => KitSpanKind.Gone,
        _ => null,
    };
}
