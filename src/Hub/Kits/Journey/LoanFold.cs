using System.Buffers.Binary;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Folds what is said about a kit's loans. Pure.</summary>
internal static class LoanFold
{
    public static KitState Apply(KitState state, RecordedFact recorded)
    {
        var at = recorded.At;
        switch (recorded.Fact)
        {
            case KitReserved reserved:
                var loan = new KitLoan(reserved.LoanId, reserved.From, reserved.DueBack, reserved.BookableFrom, reserved.Place)
                    .With(new RecordedStep(recorded.Sequence, at, "reserved", reserved.By));
                var promised = state with { Loans = Sorted(state.Loans.Append(loan)) };
                return state.Stage == KitStage.Available ? JourneyFold.To(promised, KitStage.Reserved, at) : promised;
            case LoanCalledOff off:
                var without = Without(state, off.LoanId, new RecordedStep(recorded.Sequence, at, "called-off", off.By), "called-off");
                return KitStages.IsPacked(state.Stage) && state.InHand == off.LoanId || state.Stage == KitStage.Reserved
                    ? JourneyFold.To(without, JourneyFold.Shelf(without.Loans), at)
                    : without;
            case LoanExtended extended:
                return Change(state, extended.LoanId, known => (known with { DueBack = extended.DueBack, BookableFrom = extended.BookableFrom })
                    .With(new RecordedStep(recorded.Sequence, at, "extended", extended.By)));
            case LoanPaperSigned signed:
                return Change(state, signed.LoanId, known => (known with { Paper = (at, signed.SignedBy) })
                    .With(new RecordedStep(recorded.Sequence, at, "paper-signed", signed.By)));
            case LoanConsentTakenBack withdrawn:
                return Change(state, withdrawn.LoanId, known => (known with { Paper = null })
                    .With(new RecordedStep(recorded.Sequence, at, "consent-taken-back", withdrawn.By)));
            case ReminderTaken reminder:
                return Change(state, reminder.LoanId, known => known with { Reminders = [.. known.Reminders, new ReminderEntry(at, reminder.Step, reminder.Note, reminder.By.Name)] });
            case LoanBegun begun:
                return Begun(state, begun, recorded);
            case LoanEnded ended:
                var back = End(state, recorded, "received", ended.By) with { MovedAt = at };
                return JourneyFold.To(back, JourneyFold.Shelf(back.Loans), at);
            default:
                return state;
        }
    }

    /// <summary>Adds a step to the loan in hand, if there is one.</summary>
    public static KitState Step(KitState state, RecordedFact recorded, string name, Actor by) =>
        InHand(state, loan => loan.With(new RecordedStep(recorded.Sequence, recorded.At, name, by)));

    /// <summary>Changes the loan in hand, if there is one.</summary>
    public static KitState InHand(KitState state, Func<KitLoan, KitLoan> change) => state.InHand is { } id ? Change(state, id, change) : state;

    /// <summary>Ends the loan in hand, if there is one.</summary>
    public static KitState End(KitState state, RecordedFact recorded, string how, Actor by) => state.InHand is { } id
        ? Without(state, id, new RecordedStep(recorded.Sequence, recorded.At, how, by), how)
        : state;

    private static KitState Change(KitState state, LoanId loanId, Func<KitLoan, KitLoan> change) =>
        state with { Loans = Sorted(state.Loans.Select(loan => loan.LoanId == loanId ? change(loan) : loan)) };

    private static KitState Without(KitState state, LoanId loanId, RecordedStep step, string how) => state.Loan(loanId) is not { } loan
        ? state
        : state with
        {
            Loans = [.. state.Loans.Where(known => known.LoanId != loanId)],
            PastLoans = [.. state.PastLoans, loan.With(step) with { Ended = how }],
            InHand = state.InHand == loanId ? null : state.InHand,
        };

    /// <summary>A loan of the time when no steps were recorded: shipped by hand, and away until it is over.</summary>
    private static KitState Begun(KitState state, LoanBegun begun, RecordedFact recorded)
    {
        // Such a loan has no id of its own; the number of its entry gives it one that is always the same.
        var bytes = new byte[16];
        BinaryPrimitives.WriteInt64BigEndian(bytes.AsSpan(8), recorded.Sequence);
        var loan = new KitLoan(new LoanId(new Guid(bytes, bigEndian: true)), begun.From, begun.To, begun.To, begun.Place) { SentOn = begun.From }
            .With(new RecordedStep(recorded.Sequence, recorded.At, "sent-out", begun.By));
        return JourneyFold.To(state with { Loans = Sorted(state.Loans.Append(loan)), InHand = loan.LoanId }, KitStage.InTransitOut, recorded.At);
    }

    private static IReadOnlyList<KitLoan> Sorted(IEnumerable<KitLoan> loans) => [.. loans.OrderBy(loan => loan.From).ThenBy(loan => loan.LoanId.Value)];
}
