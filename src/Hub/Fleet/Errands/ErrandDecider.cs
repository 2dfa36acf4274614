using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Fleet.Errands;

/// <summary>Decides about errands to laboratories. Pure.</summary>
internal static class ErrandDecider
{
    public static FleetDecision Plan(FleetState state, PlanErrand plan, Actor by, FleetContext context)
    {
        if (state.Errands.Any(errand => errand.ErrandId == plan.ErrandId))
        {
            return FleetDecision.Refuse(RefusalCodes.Duplicate, "There is an errand with this number already.", "Look at the page as it is now.");
        }

        if (plan.LeavesOn < context.Today)
        {
            return FleetDecision.Refuse(RefusalCodes.LoanDates, $"{LoanBooking.Day(plan.LeavesOn)} is in the past.", "Give a day that is still to come.");
        }

        var kits = plan.Kits.Distinct().ToList();
        foreach (var kitId in kits)
        {
            if (WhyNot(state, plan, kitId, context) is { } why)
            {
                return FleetDecision.Refuse(RefusalCodes.Invalid, why, "Choose other days, or leave this kit out.");
            }
        }

        var most = Away(state, plan.LeavesOn, plan.BackOn) + kits.Count;
        return most > state.Terms.MostAwayAtLaboratory
            ? FleetDecision.Refuse(
                RefusalCodes.Invalid,
                $"{most} kits would be at laboratories at the same time; the terms allow {state.Terms.MostAwayAtLaboratory}.",
                "Send fewer at once, choose other days, or change the terms.")
            : FleetDecision.Of(new ErrandPlanned(plan.ErrandId, plan.Laboratory.Trim(), kits, plan.LeavesOn, plan.BackOn, by));
    }

    public static FleetDecision Finish(FleetState state, FinishErrand finish, Actor by) =>
        state.Errands.Find(errand => errand.ErrandId == finish.ErrandId) is { FinishedAt: null }
            ? FleetDecision.Of(new ErrandFinished(finish.ErrandId, string.IsNullOrWhiteSpace(finish.GivenUpBecause) ? null : finish.GivenUpBecause.Trim(), by))
            : FleetDecision.Refuse(RefusalCodes.ErrandUnknown, "There is no such errand under way.", "Look at the page as it is now.");

    /// <summary>Most kits that errands under way have away on one day of a period, both ends included.</summary>
    internal static int Away(FleetState state, DateOnly from, DateOnly to)
    {
        var errands = state.Errands.Where(errand => errand.FinishedAt is null && errand.LeavesOn <= to && from <= errand.BackOn).ToList();

        // The number of kits away only grows on a day one leaves, so those days are enough to look at.
        return errands.Select(errand => errand.LeavesOn).Append(from).Where(day => day >= from && day <= to)
            .Select(day => errands.Where(errand => errand.LeavesOn <= day && day <= errand.BackOn).Sum(errand => errand.Kits.Count))
            .DefaultIfEmpty(0)
            .Max();
    }

    private static string? WhyNot(FleetState state, PlanErrand plan, KitId kitId, FleetContext context)
    {
        if (context.Kit(kitId) is not { InService: true } kit)
        {
            return $"{kitId} is no kit in service.";
        }

        if (kit.NotByParcel is { } held)
        {
            return $"{kitId} stays here. {held} Have it inspected and lift the hold first.";
        }

        if (state.Errands.FirstOrDefault(errand => errand.FinishedAt is null && errand.Kits.Contains(kitId)) is { } errand)
        {
            return $"{kitId} is on an errand to {errand.Laboratory} from {LoanBooking.Day(errand.LeavesOn)}.";
        }

        return kit.Loans.FirstOrDefault(loan => loan.Ended is null && loan.From <= plan.BackOn && plan.LeavesOn < loan.BookableFrom) is { } loan
            ? $"{kitId} is promised to a loan from {LoanBooking.Day(loan.From)} and free again on {LoanBooking.Day(loan.BookableFrom)}."
            : null;
    }
}
