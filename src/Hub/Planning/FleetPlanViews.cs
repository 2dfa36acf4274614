using TeleHearing.Contracts;
using TeleHearing.Hub.Planning.Solving;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning;

/// <summary>Plans as consoles see them.</summary>
internal static class FleetPlanViews
{
    public static FleetPlanProgress Progress(Guid planId, PlanProblem problem, FleetSearchProgress progress) =>
        new(planId, progress.Seconds, problem.Requests.Count, progress.Placed, Figures(progress.Score), Bound(progress.Bound), null, null);

    public static FleetPlanProgress Last(Guid planId, PlanProblem problem, FleetOutcome outcome)
    {
        var requests = problem.Requests.ToDictionary(request => request.Id, StringComparer.Ordinal);
        var view = new FleetPlanView(
            [.. outcome.Plan.Loans.Select(loan => new FleetPlanLoan(Loan(loan.RequestId), new KitId(loan.KitId), loan.Window.SessionDay, loan.Window.Ship, loan.Window.Bookable, PlanCosts.IsMove(requests[loan.RequestId], loan.Window)))],
            [.. outcome.Plan.Calibrations.Select(one => new FleetPlanCalibration(new KitId(one.KitId), one.From, one.Until))],
            [.. PlanReasons.Of(problem, outcome.Plan).Select(one => new FleetPlanUnplaced(Loan(one.RequestId), one.Sentence, one.Details))],
            [.. outcome.OneMore.Select(one => new FleetPlanOneMore([.. one.Can.Order(StringComparer.Ordinal)], one.PlacedMore, one.WeightMore, one.WeightMoreAtMost, one.LatenessLess))],
            Figures(outcome.FirstCome),
            outcome.WeightGap,
            outcome.LatenessGap,
            outcome.Stopped);
        return new(planId, outcome.Seconds, problem.Requests.Count, outcome.Plan.Loans.Count, Figures(outcome.Score), Bound(outcome.Bound), view, null);
    }

    public static FleetPlanProgress Refused(Guid planId, Refusal refusal) => new(planId, 0, 0, 0, null, null, null, refusal);

    private static FleetPlanFigures Figures(PlanScore score) => new(score.UncoveredDays, score.UnplacedWeight, score.Lateness, score.Moves);

    private static FleetPlanBound Bound(FleetBound bound) => new(bound.UnplacedWeight, bound.Lateness, bound.Proven);

    private static LoanId Loan(string id) => new(Guid.Parse(id));
}
