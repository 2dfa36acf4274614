using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>A plan in the numbers a solver works with.</summary>
/// <param name="Chosen">For each request the place of its choice among its choices; -1 for none.</param>
/// <param name="Calibrations">For each kit the days on which it goes to calibration.</param>
internal sealed record PlanState(IReadOnlyList<int> Chosen, IReadOnlyList<IReadOnlyList<int>> Calibrations)
{
    public static PlanState From(PlanIndex index, FleetPlan plan)
    {
        var kits = index.Problem.Kits.Select((kit, number) => (kit.Id, number)).ToDictionary(pair => pair.Id, pair => pair.number, StringComparer.Ordinal);
        var loans = plan.Loans.ToDictionary(loan => loan.RequestId, StringComparer.Ordinal);
        var chosen = index.Problem.Requests.Select((request, number) =>
        {
            if (!loans.TryGetValue(request.Id, out var loan))
            {
                return -1;
            }

            var choices = index.Choices[number];
            return Enumerable.Range(0, choices.Count).First(place => choices[place].Kit == kits[loan.KitId] && request.Windows[choices[place].Window] == loan.Window);
        });
        return new PlanState(
            [.. chosen],
            [.. index.Problem.Kits.Select(kit => (IReadOnlyList<int>)[.. plan.Calibrations.Where(one => one.KitId == kit.Id).Select(one => one.From.DayNumber)])]);
    }

    public FleetPlan ToPlan(PlanIndex index)
    {
        var loans = Chosen.Select((place, request) => (place, request)).Where(pair => pair.place >= 0).Select(pair =>
        {
            var (choice, request) = (index.Choices[pair.request][pair.place], index.Problem.Requests[pair.request]);
            return new PlannedLoan(request.Id, index.Problem.Kits[choice.Kit].Id, request.Windows[choice.Window]);
        });
        var calibrations = Calibrations.SelectMany((starts, kit) => starts.Select(start => new PlannedCalibration(
            index.Problem.Kits[kit].Id, DateOnly.FromDayNumber(start), DateOnly.FromDayNumber(start + index.Problem.Calibration.DaysAway))));
        return new FleetPlan([.. loans], [.. calibrations]).InOrder();
    }
}
