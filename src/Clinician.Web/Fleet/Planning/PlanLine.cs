using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Fleet.Planning;

/// <summary>Where a proposed loan stands now.</summary>
public enum PlanLineState
{
    /// <summary>It can be booked as proposed.</summary>
    Open,

    /// <summary>The proposed kit is promised to it.</summary>
    Booked,

    /// <summary>Another kit was promised meanwhile.</summary>
    OtherKit,

    /// <summary>It is no longer asked for.</summary>
    Gone,

    /// <summary>The proposed day differs from the one asked for: it is to be agreed with the site first.</summary>
    OtherDay,
}

/// <summary>A proposed loan beside what is recorded of it now.</summary>
/// <param name="Proposed">What the plan says.</param>
/// <param name="Loan">What is recorded; absent when it is no longer open.</param>
/// <param name="State">Where it stands.</param>
/// <param name="Answer">What came of booking it; absent while nobody tried.</param>
public sealed record PlanLine(FleetPlanLoan Proposed, FleetLoanView? Loan, PlanLineState State, KitAnswer? Answer)
{
    /// <summary>The lines of a plan, by kit and day. Pure.</summary>
    public static IReadOnlyList<PlanLine> Of(FleetPlanView plan, FleetView fleet, IReadOnlyDictionary<LoanId, KitAnswer> answers)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(fleet);
        var open = fleet.Loans.ToDictionary(loan => loan.Request.LoanId);
        return
        [
            .. plan.Loans.OrderBy(loan => loan.KitId.Value, StringComparer.Ordinal).ThenBy(loan => loan.Ship)
                .Select(loan => (Proposed: loan, Now: open.GetValueOrDefault(loan.LoanId)))
                .Select(pair => new PlanLine(pair.Proposed, pair.Now, Standing(pair.Proposed, pair.Now), answers.GetValueOrDefault(pair.Proposed.LoanId))),
        ];
    }

    /// <summary>Where the kit goes; the id when the loan is no longer shown.</summary>
    public string Place => Loan?.Request.Place ?? "a loan that is over";

    private static PlanLineState Standing(FleetPlanLoan proposed, FleetLoanView? now) => now switch
    {
        null => PlanLineState.Gone,
        { KitId: { } kit } => kit == proposed.KitId ? PlanLineState.Booked : PlanLineState.OtherKit,
        { Request.SessionDays: [var day, ..] } when day != proposed.SessionDay => PlanLineState.OtherDay,
        _ => PlanLineState.Open,
    };
}
