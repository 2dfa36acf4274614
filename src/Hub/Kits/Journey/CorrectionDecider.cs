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

        if (correct.DidNotOccur && !ask.Context.CaresForKits && CoordinatorsWord.Is(entry.Fact))
        {
            return KitDecision.Refuse(RefusalCodes.RoleNotAllowed, "Only those who answer for the kits say that this did not occur.", "Ask the kit coordinator or the owner. That something in the entry is wrong you may say yourself.");
        }

        var fact = new EntryCorrected(correct.Sequence, correct.DidNotOccur, correct.DidNotOccur && TakesBack(state, entry), correct.Reason.Trim(), ask.By);
        return fact.TakesBack && Elsewhere(ask, fact) is { } refusal ? KitDecision.Refuse(refusal) : KitDecision.Of(fact);
    }

    /// <summary>Why an entry cannot be taken back: the kit would have a loan again that another kit was promised to meanwhile.</summary>
    private static Refusal? Elsewhere(JourneyAsk ask, EntryCorrected fact)
    {
        var again = KitFold.Apply(ask.State, new RecordedFact(ask.State.Version + 1, ask.Context.Now, fact));
        var held = from loan in again.Loans
                   from other in ask.Context.Others
                   where other.KitId != again.KitId && other.Loan(loan.LoanId) is not null
                   select new Refusal(
                       RefusalCodes.LoanTaken,
                       $"Without this entry the kit would still have the loan to {loan.Place}, and {other.KitId} has that loan meanwhile.",
                       "Call it off there first, or say only that something in the entry is wrong.");
        return held.FirstOrDefault();
    }

    private static bool TakesBack(KitState state, RecordedFact entry)
    {
        var withdrawn = state.Corrections.Where(known => known.TakesBack).Select(known => known.Sequence).ToHashSet();
        var lastMove = state.History.LastOrDefault(recorded => Moves(recorded.Fact) && !withdrawn.Contains(recorded.Sequence));
        return Moves(entry.Fact)
            ? entry.Fact is not (KitTakenIntoUse or KitSetDown or KitGone or KitFound or LoanCalledOff or LoanBegun or LoanEnded) && lastMove?.Sequence == entry.Sequence
            : entry.Fact is CarrierSaid or KitCounted or LoanPaperSigned or LoanConsentTakenBack or ReminderTaken;
    }

    /// <summary>Whether a fact is a step of the kit's way. Those of sessions, a key taken away, a kit found after it, and a promise given up are not undone by a word: they are here so that nothing before them is. A loan that was called off may be withdrawn or with another kit since; it is promised anew.</summary>
    private static bool Moves(KitFact fact) => fact is
        KitDrafted or KitCommissioned or KitReleased or KitReserved or LoanCalledOff or LoanExtended or KitPacked or KitStaged or KitSent or CarrierSaid { Leg: KitLeg.Out, Status: CarrierStatus.Delivered }
        or KitCheckedIn or KitTakenIntoUse or KitSetDown or KitPackedUp or KitReceived or KitQuarantined or CleaningBegun or TurnaroundSigned or RepairBegun or RepairFinished
        or SentToLaboratory or TakenFromLaboratory or ParcelMissing or KitGone or KitFound or KitRetired or LoanBegun or LoanEnded;
}
