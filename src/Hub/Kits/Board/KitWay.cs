using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

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
    public static string? Where(KitStanding kit) => Where(kit.Stage, kit.Loan?.Place, kit.Laboratory?.Name);

    /// <summary>Where a kit is, in the same words wherever it is shown: as its way says, else as it was recorded.</summary>
    /// <param name="state">The kit.</param>
    /// <param name="recorded">Where it was recorded to be.</param>
    public static string Where(KitState state, string recorded) => Where(state.Stage, state.LoanInHand?.Place, state.Laboratory?.Laboratory) ?? recorded;

    private static string? Where(KitStage stage, string? loanPlace, string? laboratory) => (stage, loanPlace) switch
    {
        (KitStage.InTransitOut, { } place) => $"with the carrier, to {place}",
        (KitStage.InTransitBack, { } place) => $"with the carrier, from {place}",
        (KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.InUse or KitStage.AwaitingReturn, { } place) => place,
        (KitStage.AtCalibration, _) => laboratory,
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
