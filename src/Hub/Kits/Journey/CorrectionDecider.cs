using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Decides what a correction comes to (docs/decisions/0026). Pure.</summary>
/// <remarks>An entry that did not occur is taken back when nothing that moved the kit came after it, or when it moved nothing by itself: what a carrier said, a count, a signature, a reminder. All other corrections are said beside the entry and change nothing.</remarks>
internal static class CorrectionDecider
{
    public static KitDecision Decide(JourneyAsk ask, CorrectEntry correct)
    {
        var state = ask.State;
        if (state.History.FirstOrDefault(recorded => recorded.Sequence == correct.Sequence) is not { } entry)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid("There is no such entry.", "Look at the page as it is now."));
        }

        if (entry.Fact is EntryCorrected)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid("A correction is not corrected.", "Make the right entry anew."));
        }

        if (state.Corrections.Any(known => known.Sequence == correct.Sequence && known.DidNotOccur))
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid("This entry is marked already as one that did not occur.", "Look at the page as it is now."));
        }

        return KitDecision.Of(new EntryCorrected(correct.Sequence, correct.DidNotOccur, correct.DidNotOccur && TakesBack(state, entry), correct.Reason.Trim(), ask.By));
    }

    private static bool TakesBack(KitState state, RecordedFact entry)
    {
        var withdrawn = state.Corrections.Where(known => known.TakesBack).Select(known => known.Sequence).ToHashSet();
        var lastMove = state.History.LastOrDefault(recorded => Moves(recorded.Fact) && !withdrawn.Contains(recorded.Sequence));
        return Moves(entry.Fact)
            ? entry.Fact is not (KitTakenIntoUse or KitSetDown or KitGone or LoanBegun or LoanEnded) && lastMove?.Sequence == entry.Sequence
            : entry.Fact is CarrierSaid or KitCounted or LoanPaperSigned or ReminderTaken;
    }

    /// <summary>Whether a fact is a step of the kit's way. Those of sessions, and a key taken away, are not undone by a word: they are here so that nothing before them is.</summary>
    private static bool Moves(KitFact fact) => fact is
        KitDrafted or KitCommissioned or KitReleased or KitReserved or LoanCalledOff or LoanExtended or KitPacked or KitStaged or KitSent or CarrierSaid { Leg: KitLeg.Out, Status: CarrierStatus.Delivered }
        or KitCheckedIn or KitTakenIntoUse or KitSetDown or KitPackedUp or KitReceived or KitQuarantined or CleaningBegun or TurnaroundSigned or RepairBegun or RepairFinished
        or SentToLaboratory or TakenFromLaboratory or ParcelMissing or KitGone or KitFound or KitRetired or LoanBegun or LoanEnded;
}
