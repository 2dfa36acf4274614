using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Papers;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Logistics.Parcels;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Makes what a kit may know of its own case. Pure.</summary>
internal static class KitCaseBuilder
{
    /// <param name="state">The kit.</param>
    /// <param name="terms">The clinic's terms: where kits come back to.</param>
    public static KitCase Of(KitState state, FleetTerms terms)
    {
        var loan = state.LoanInHand;
        var packed = loan is null ? null : state.Counts.LastOrDefault(count => count.Occasion == CountOccasion.Packed);
        var here = packed is null ? null : state.Counts.LastOrDefault(count => count.Occasion == CountOccasion.CheckedIn && count.At >= packed.At);
        return new KitCase(
            state.KitId,
            state.Stage,
            state.Items,
            packed,
            here,
            loan?.DueBack,
            loan is null ? [] : ReturnLabel.Lines(terms),
            loan is not null && packed is not null && IsArriving(state.Stage, loan) && LeftMostlyEmpty(state.Items, packed, loan));
    }

    // Once a session has run with it on this loan, how it travelled says nothing of its batteries any more.
    private static bool IsArriving(KitStage stage, KitLoan loan) =>
        stage is KitStage.InTransitOut or KitStage.Delivered or KitStage.CheckedInAtSite && loan.Steps.All(step => step.Name != "in-use");

    // Nobody records how the carrier takes a parcel, and post that may fly counts as air: charging a full battery costs minutes, an empty one the session.
    private static bool LeftMostlyEmpty(IReadOnlyList<KitItem> items, KitCount packed, KitLoan loan) =>
        ParcelChecklist.LeavesMostlyEmpty(KitParcel.Of(items, packed.Counts, ParcelWay.Air, loan.SentOn ?? loan.From, new Dictionary<string, double>()));
}
