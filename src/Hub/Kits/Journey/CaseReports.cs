using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Turns what a kit screen says of its case into facts of the kit. Pure.</summary>
internal static class CaseReports
{
    /// <summary>Who a report of a kit screen comes from: whoever stands before it has no account, so none is named.</summary>
    public static Actor Screen(KitId kitId) => new(kitId.Value, $"The kit screen of {kitId}");

    public static KitDecision Decide(KitState state, KitReport report, KitContext context)
    {
        if (state.InHand is not { } loanId)
        {
            return KitDecision.Refuse(RefusalCodes.LoanUnknown, "This kit is on no loan, so its case is counted by whoever has it at the base.", "Nothing is to be done at the kit.");
        }

        var ask = new JourneyAsk(state, Screen(state.KitId), context);
        return report switch
        {
            CaseCounted counted => JourneyDecider.Decide(ask, new CheckInKit(loanId, counted.Counts, counted.Photo, EntryMeans.Reported)),
            CasePacked packed => Packed(JourneyDecider.Decide(ask, new PackUpKit(loanId, packed.Counts, packed.Photo, packed.Seal)), packed),
            _ => throw new ArgumentOutOfRangeException(nameof(report), report.GetType().Name, "Not a report about a case."),
        };
    }

    private static KitDecision Packed(KitDecision decision, CasePacked packed) =>
        new([.. decision.Facts.Select(fact => fact is KitPackedUp up ? up with { Discarded = packed.Discarded } : fact)], decision.Refusal);
}
