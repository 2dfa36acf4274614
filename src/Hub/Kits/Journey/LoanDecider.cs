using System.Globalization;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>Decides promises: reserving, calling off, extending, papers and reminders. Pure.</summary>
internal static class LoanDecider
{
    public static KitDecision Reserve(JourneyAsk ask, ReserveKit reserve)
    {
        var (state, today) = (ask.State, ask.Context.Today);
        if (state.Loan(reserve.LoanId) is not null)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid("The kit is promised to this loan already.", "Look at the page as it is now."));
        }

        if (ask.Context.Others.FirstOrDefault(other => other.KitId != state.KitId && other.Loan(reserve.LoanId) is not null) is { } other)
        {
            return KitDecision.Refuse(RefusalCodes.LoanTaken, $"{other.KitId} is promised to this loan already.", "Call it off there first, or book a loan of its own for this kit.");
        }

        if (reserve.From < today)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid("The loan would begin in the past.", "Check the dates."));
        }

        if (ask.WhyNot(KitTrigger.Reserve) is { } refusal)
        {
            return KitDecision.Refuse(refusal);
        }

        if (KitAvailability.FreeFrom(state, today) is not { } free)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid($"Nobody knows when this kit is free: it is {KitStages.InWords(state.Stage)}.", "Choose another kit."));
        }

        if (reserve.From < free)
        {
            return KitDecision.Refuse(
                RefusalCodes.LoanOverlaps,
                string.Create(CultureInfo.InvariantCulture, $"The kit is {KitStages.InWords(state.Stage)} and is not free before {free:d MMMM yyyy}."),
                "Choose later days or another kit.");
        }

        return Overlap(state, reserve.LoanId, reserve.From, reserve.BookableFrom) ?? Cover(state, reserve.From, reserve.DueBack)
            ?? KitDecision.Of(new KitReserved(reserve.LoanId, reserve.From, reserve.DueBack, reserve.BookableFrom, reserve.Place.Trim(), ask.By));
    }

    public static KitDecision CallOff(JourneyAsk ask, CallOffLoan off)
    {
        if (ask.State.Loan(off.LoanId) is null)
        {
            return KitDecision.Refuse(JourneyRefusals.NoSuchLoan);
        }

        return ask.Move(
            ask.State.InHand == off.LoanId ? KitTrigger.CallOffPacked : KitTrigger.CallOffPromised,
            () => new LoanCalledOff(off.LoanId, off.Reason.Trim(), ask.By));
    }

    public static KitDecision Extend(JourneyAsk ask, ExtendLoan extend)
    {
        var (state, today) = (ask.State, ask.Context.Today);
        if (state.Loan(extend.LoanId) is not { } loan)
        {
            return KitDecision.Refuse(JourneyRefusals.NoSuchLoan);
        }

        if (extend.DueBack <= loan.DueBack || extend.DueBack < today)
        {
            return KitDecision.Refuse(JourneyRefusals.Invalid(
                string.Create(CultureInfo.InvariantCulture, $"An extended loan ends later than before ({loan.DueBack:d MMMM yyyy}), and not in the past."),
                "Check the date."));
        }

        return Overlap(state, extend.LoanId, loan.From, extend.BookableFrom) ?? Cover(state, loan.From, extend.DueBack)
            ?? KitDecision.Of(new LoanExtended(extend.LoanId, extend.DueBack, extend.BookableFrom, extend.Reason.Trim(), ask.By));
    }

    public static KitDecision Sign(JourneyAsk ask, SignLoanPaper sign) => ask.State.Loan(sign.LoanId) switch
    {
        null => KitDecision.Refuse(JourneyRefusals.NoSuchLoan),
        { Paper: { } paper } => KitDecision.Refuse(JourneyRefusals.Invalid($"{paper.SignedBy} signed this paper already.", "Look at the page as it is now.")),
        _ when sign.TextVersion is { } version && ask.Context.ConsentTexts.All(text => text.Language != sign.Language || text.Version != version) =>
            KitDecision.Refuse(JourneyRefusals.Invalid("The clinic keeps no such text about the loan.", "Look at the version printed on the paper.")),
        _ => KitDecision.Of(new LoanPaperSigned(sign.LoanId, sign.SignedBy.Trim(), ask.By)
        {
            Text = ask.Context.ConsentTexts.FirstOrDefault(text => text.Language == sign.Language && text.Version == sign.TextVersion)?.Shown(),
            Capacity = JourneyDecider.Text(sign.Capacity),
        }),
    };

    public static KitDecision TakeBack(JourneyAsk ask, WithdrawLoanConsent withdraw) => ask.State.Loan(withdraw.LoanId) switch
    {
        null => KitDecision.Refuse(JourneyRefusals.NoSuchLoan),
        { Paper: null } => KitDecision.Refuse(JourneyRefusals.Invalid("There is no consent to this loan, so there is nothing to take back.", "Look at the page as it is now.")),
        _ => KitDecision.Of(new LoanConsentTakenBack(withdraw.LoanId, withdraw.By, withdraw.How, withdraw.Reason.Trim(), ask.By)),
    };

    public static KitDecision Remind(JourneyAsk ask, TakeReminderStep step) => ask.State.Loan(step.LoanId) switch
    {
        null => KitDecision.Refuse(JourneyRefusals.NoSuchLoan),
        { SentOn: null } => KitDecision.Refuse(JourneyRefusals.Invalid("The kit has not left for this loan, so nobody is to be reminded.", "Look at the page as it is now.")),
        { } loan when loan.RemindersSinceExtended().Any(taken => taken.Step == step.Step) => KitDecision.Refuse(JourneyRefusals.Invalid("This step was taken already.", "Look at the page as it is now.")),
        _ => KitDecision.Of(new ReminderTaken(step.LoanId, step.Step.Trim(), JourneyDecider.Text(step.Note), ask.By)),
    };

    private static KitDecision? Overlap(KitState state, LoanId loanId, DateOnly from, DateOnly bookableFrom) =>
        state.Loans.FirstOrDefault(loan => loan.LoanId != loanId && loan.Overlaps(from, bookableFrom)) is { } other
            ? KitDecision.Refuse(
                RefusalCodes.LoanOverlaps,
                string.Create(CultureInfo.InvariantCulture, $"Another loan needs the kit from {other.From:d MMMM yyyy} until it is ready again on {other.BookableFrom:d MMMM yyyy}: {other.Place}."),
                "Choose other days or another kit.")
            : null;

    private static KitDecision? Cover(KitState state, DateOnly from, DateOnly dueBack) => KitJudgement.HoldsUntil(state) switch
    {
        null => KitDecision.Refuse(JourneyRefusals.NoCalibration),
        { } until when !CalibrationValidity.Covers(until, new LoanPeriod(from, dueBack)) => KitDecision.Refuse(JourneyRefusals.Outlived(until, dueBack)),
        _ => null,
    };
}
