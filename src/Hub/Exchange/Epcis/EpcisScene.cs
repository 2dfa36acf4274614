using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>What is known when an entry is written as events.</summary>
/// <param name="Before">The kit before the entry.</param>
/// <param name="After">The kit after it.</param>
/// <param name="Hierarchy">What is in the case and what is joined.</param>
/// <param name="Ids">Makes the ids.</param>
/// <param name="Limits">What readings of parcels are held against.</param>
internal sealed record EpcisScene(KitState Before, KitState After, EpcisHierarchy Hierarchy, EpcisIds Ids, ParcelLimits Limits)
{
    public KitId KitId => Before.KitId;

    /// <summary>The case.</summary>
    public string Case => Ids.Kit(KitId);

    /// <summary>The kit, seen where it was before the entry, and being afterwards where it then is.</summary>
    public EpcisEvent Seen(string step, string? disposition) => new()
    {
        Type = EpcisEventType.ObjectEvent,
        Things = [Case],
        Step = step,
        Disposition = disposition,
        ReadPoint = Place(Before) ?? Place(After),
        Location = Place(After),
    };

    /// <summary>The kit, seen where it is after the entry: it came there.</summary>
    public EpcisEvent Come(string step, string? disposition) => Seen(step, disposition) with { ReadPoint = Place(After) };

    /// <summary>A loan, and the paper of it that goes with the event.</summary>
    public IReadOnlyList<(string Type, string Id)> Papers(LoanId? loanId, params string[] papers) => loanId is not { } loan
        ? []
        : [(EpcisWords.Loan, "urn:uuid:" + loan), .. papers.Select(paper => (paper, Ids.Loan(loan, paper)))];

    /// <summary>The place of the loan in hand.</summary>
    public string? Site(KitState state) => state.LoanInHand is { } loan ? Ids.Place(loan.Place) : null;

    /// <summary>Where the kit is; absent while nobody can say.</summary>
    private string? Place(KitState state) => state.Stage switch
    {
        KitStage.InTransitOut or KitStage.InTransitBack or KitStage.MissingParcel or KitStage.Lost or KitStage.Stolen => null,
        KitStage.Delivered or KitStage.CheckedInAtSite or KitStage.AwaitingReturn => Site(state),
        KitStage.InUse => Site(state) ?? Ids.Clinic,
        KitStage.AtCalibration => state.Laboratory is { } stay ? Ids.Place(stay.Laboratory) : null,
        _ => Ids.Clinic,
    };
}
