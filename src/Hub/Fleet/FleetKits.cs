using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet;

/// <summary>What the fleet needs to know of a kit, taken from its state. The only place that knows both. Pure.</summary>
internal static class FleetKits
{
    /// <param name="row">The kit as it was entered.</param>
    /// <param name="state">What its facts come to.</param>
    /// <param name="today">The day at the clinic.</param>
    public static FleetKit Of(KitEntity row, KitState state, DateOnly today) => new(
        state.KitId,
        row.Label,
        KitWay.Where(state, row.Where),
        state.Stage is not (KitStage.Draft or KitStage.Lost or KitStage.Stolen or KitStage.Retired),
        Transducers(state),
        KitJudgement.HoldsUntil(state),
        state.Calibration?.Laboratory,
        state.Stage == KitStage.AtCalibration,
        [.. state.PastLoans.Concat(state.Loans).Select(loan => Loan(loan) with { InHand = loan.Ended is null && loan.LoanId == state.InHand })])
    {
        FreeFrom = KitAvailability.FreeFrom(state, today),
        NotByParcel = KitHolds.AgainstParcels(state).Count > 0 ? JourneyRefusals.AgainstParcel(state) : null,
        Overdue = state.LoanInHand is { } inHand && KitAvailability.DaysOverdue(state, inHand, today) > 0 ? inHand.Place : null,
        InTurnaround = state.Stage is KitStage.Received or KitStage.Quarantine or KitStage.Cleaning or KitStage.Inspection or KitStage.Restock or KitStage.FunctionCheck,
    };

    private static FleetKitLoan Loan(KitLoan loan) => new(
        loan.LoanId,
        loan.From,
        loan.DueBack,
        loan.BookableFrom,
        loan.SentOn is not null || loan.Steps.Any(step => step.Name is "sent-out" or "checked-in" or "in-use"),
        loan.Steps.Any(step => step.Name == "in-use"),
        loan.Paper?.SignedBy,
        [.. loan.RemindersSinceExtended().Select(reminder => reminder.Step)],
        loan.Ended);

    private static IReadOnlyList<TransducerKind> Transducers(KitState state) =>
        state.Gear is not { } gear ? [] : gear.BoneVibrator is null ? [gear.TransducerKind] : [gear.TransducerKind, TransducerKind.BoneVibrator];
}
