using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>The part of a kit's picture that is about its way. Pure.</summary>
internal static class JourneyViews
{
    /// <summary>The picture with where the kit stands, its loans, contents and turnaround.</summary>
    public static KitView With(KitView view, KitState state, IReadOnlyList<KitHold> holds, DateOnly today) => view with
    {
        Stage = state.Stage,
        StageSince = state.StageSince,
        HoldList = holds,
        Loans = [.. state.Loans.Select(loan => Loan(state, loan, today))],
        PastLoans = [.. state.PastLoans.Reverse().Select(loan => Loan(state, loan, today))],
        FreeFrom = KitAvailability.FreeFrom(state, today),
        Items = state.Items,
        Counts = [.. state.Counts.Reverse()],
        InCase = [.. state.InCase.Select(line => new ItemCount(line.Key, line.Value))],
        Checklist = TurnaroundLines.Of(state.Stage, state.Items),
        Turnaround = state.Turnaround,
        QuarantineUntil = state.QuarantineUntil,
        Laboratory = state.Laboratory,
        Fault = state.Fault,
        Checked = state.Checked,
        Corrections = [.. state.Corrections.Reverse()],
    };

    /// <summary>The loan in hand, or else the next one, as the page shows it in a line.</summary>
    public static LoanView? Line(KitState state) => (state.LoanInHand ?? state.NextLoan) is { } loan
        ? new LoanView(loan.From, loan.DueBack, loan.Place, Covered(state, loan))
        : null;

    /// <summary>A row of the board with where the kit stands.</summary>
    public static KitRow With(KitRow row, KitState state, IReadOnlyList<KitHold> holds, DateOnly today) => row with
    {
        Stage = state.Stage,
        StageSince = state.StageSince,
        HoldKinds = [.. holds.Select(hold => hold.Kind).Distinct()],
        Loan = (state.LoanInHand ?? state.NextLoan) is { } loan
            ? new KitLoanRow(loan.LoanId, loan.From, loan.DueBack, loan.BookableFrom, loan.Place, state.InHand == loan.LoanId, KitAvailability.DaysOverdue(state, loan, today), loan.Paper is not null)
            : null,
        LaterLoans = Math.Max(0, state.Loans.Count - 1),
        QuarantineUntil = state.QuarantineUntil,
        Laboratory = state.Laboratory,
    };

    private static KitLoanView Loan(KitState state, KitLoan loan, DateOnly today) => new(
        loan.LoanId,
        loan.From,
        loan.DueBack,
        loan.BookableFrom,
        loan.Place,
        state.InHand == loan.LoanId,
        Covered(state, loan),
        KitAvailability.DaysOverdue(state, loan, today),
        loan.Steps)
    {
        PaperSignedAt = loan.Paper?.At,
        PaperSignedBy = loan.Paper?.SignedBy,
        Tracking = loan.Tracking,
        ReturnTracking = loan.ReturnTracking,
        SentOn = loan.SentOn,
        SentBackOn = loan.SentBackOn,
        Seal = loan.Seal,
        ReturnSeal = loan.ReturnSeal,
        Carrier = loan.Carrier,
        Reminders = loan.Reminders,
        Ended = loan.Ended,
        StepsTakenBack = [.. state.TakenBack.Where(entry => entry.LoanId == loan.LoanId).Select(entry => entry.Step).OfType<LoanStep>()],
        CarrierTakenBack = [.. state.TakenBack.Where(entry => entry.LoanId == loan.LoanId).Select(entry => entry.Carrier).OfType<CarrierEntry>()],
    };

    private static bool Covered(KitState state, KitLoan loan) =>
        KitJudgement.HoldsUntil(state) is { } until && CalibrationValidity.Covers(until, new LoanPeriod(loan.From, loan.DueBack));
}
