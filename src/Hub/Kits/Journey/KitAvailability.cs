using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>From when on a kit may be promised again, as far as where it stands says. Pure.</summary>
internal static class KitAvailability
{
    /// <summary>First day on which a new loan may leave; other loans it is promised to are asked besides.</summary>
    /// <returns>Null when nobody knows.</returns>
    /// <remarks>
    /// While it is away, that is the day its loan leaves it bookable; once the loan is overdue, as many days from today as the loan left for the turnaround, since it is not back today. In the turnaround, in repair and in quarantine the next
    /// day at the earliest; at the laboratory the day after it is expected back.
    /// </remarks>
    public static DateOnly? FreeFrom(KitState state, DateOnly today)
    {
        if (state.LoanInHand is { } loan)
        {
            var turnaroundDays = Math.Max(0, loan.BookableFrom.DayNumber - loan.DueBack.DayNumber);
            return state.Stage == KitStage.MissingParcel ? null : Later(loan.BookableFrom, today.AddDays(loan.DueBack < today ? turnaroundDays : 0));
        }

        return state.Stage switch
        {
            KitStage.Draft or KitStage.MissingParcel or KitStage.Lost or KitStage.Stolen or KitStage.Retired => null,
            KitStage.AtCalibration => Later((state.Laboratory?.ExpectedBack ?? today).AddDays(1), today.AddDays(1)),
            KitStage.Quarantine => Later(state.QuarantineUntil is { } until ? KitJudgement.Day(until) : today, today).AddDays(1),
            KitStage.Available or KitStage.Reserved or KitStage.InUse => today,
            _ => today.AddDays(1),
        };
    }

    /// <summary>Days past the due day of the loan it is away with; 0 otherwise.</summary>
    public static int DaysOverdue(KitState state, KitLoan loan, DateOnly today) =>
        state.InHand == loan.LoanId && loan.SentOn is not null && loan.DueBack < today ? today.DayNumber - loan.DueBack.DayNumber : 0;

    private static DateOnly Later(DateOnly one, DateOnly other) => one > other ? one : other;
}
