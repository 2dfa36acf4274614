namespace TeleHearing.Logistics.Planning;

/// <summary>Reads a plan against its problem, day by day and without any of the means by which plans are made.</summary>
public static class PlanJudge
{
    /// <summary>What in the plan breaks a rule, as sentences; empty when it keeps all of them.</summary>
    public static IReadOnlyList<string> Faults(PlanProblem problem, FleetPlan plan)
    {
        ArgumentNullException.ThrowIfNull(problem);
        ArgumentNullException.ThrowIfNull(plan);
        var faults = new List<string>();
        var kits = problem.Kits.ToDictionary(kit => kit.Id, StringComparer.Ordinal);
        var requests = problem.Requests.ToDictionary(request => request.Id, StringComparer.Ordinal);
        foreach (var twice in plan.Loans.GroupBy(loan => loan.RequestId, StringComparer.Ordinal).Where(group => group.Count() > 1))
        {
            faults.Add($"{twice.Key} gets {twice.Count()} kits.");
        }

        foreach (var loan in plan.Loans)
        {
            if (!requests.TryGetValue(loan.RequestId, out var request) || !kits.TryGetValue(loan.KitId, out var kit))
            {
                faults.Add($"{loan.RequestId} with {loan.KitId}: no such request or kit.");
                continue;
            }

            AddLoan(faults, problem, request, kit, loan);
        }

        foreach (var kit in problem.Kits)
        {
            AddKit(faults, problem, plan, kit);
        }

        faults.AddRange(plan.Calibrations.Where(one => !kits.ContainsKey(one.KitId)).Select(one => $"Calibration of {one.KitId}: no such kit."));
        AddTogether(faults, problem, plan);
        return faults;
    }

    /// <summary>How good a plan is, whether it keeps the rules or not.</summary>
    public static PlanScore Score(PlanProblem problem, FleetPlan plan)
    {
        ArgumentNullException.ThrowIfNull(problem);
        ArgumentNullException.ThrowIfNull(plan);
        var placed = plan.Loans.ToDictionary(loan => loan.RequestId, loan => loan.Window, StringComparer.Ordinal);
        var uncovered = problem.Kits.Sum(kit => KitDays.Of(problem, kit).DaysToCover().Count(day => !Renewals(plan, kit).Any(one => one.From <= day && day < one.From.AddDays(problem.Calibration.DaysHeld))));
        return new PlanScore(
            uncovered,
            problem.Requests.Where(request => !placed.ContainsKey(request.Id)).Sum(request => (long)request.Urgency.Weight),
            problem.Requests.Where(request => placed.ContainsKey(request.Id)).Sum(request => PlanCosts.Lateness(request, placed[request.Id])),
            problem.Requests.Count(request => PlanCosts.IsMove(request, placed.GetValueOrDefault(request.Id))));
    }

    private static void AddLoan(List<string> faults, PlanProblem problem, PlanRequest request, PlanKit kit, PlannedLoan loan)
    {
        if (!request.Windows.Contains(loan.Window))
        {
            faults.Add($"{request.Id}: {loan.Window.SessionDay:yyyy-MM-dd} is not a day it can have.");
        }

        if (loan.Window.Ship < problem.From || loan.Window.SessionDay >= problem.Until)
        {
            faults.Add($"{request.Id}: {loan.Window.SessionDay:yyyy-MM-dd} lies outside the plan.");
        }

        if (request.Needs.Any(need => !kit.Can.Contains(need)))
        {
            faults.Add($"{request.Id}: kit {kit.Id} cannot do {string.Join(", ", request.Needs.Except(kit.Can))}.");
        }
    }

    private static void AddKit(List<string> faults, PlanProblem problem, FleetPlan plan, PlanKit kit)
    {
        var spans = new List<(DateOnly From, DateOnly Until, string What)>();
        spans.AddRange(problem.Fixed.Where(loan => loan.KitId == kit.Id).Select(loan => (loan.Ship, loan.Bookable, $"fixed loan {loan.RequestId}")));
        spans.AddRange(kit.Away.Select(away => (away.From, away.Until ?? DateOnly.MaxValue, away.Why)));
        var loans = plan.Loans.Where(loan => loan.KitId == kit.Id).Select(loan => (loan.Window.Ship, loan.Window.Bookable, $"loan {loan.RequestId}")).ToList();
        var calibrations = Renewals(plan, kit).Select(one => (one.From, one.Until, "calibration")).ToList();
        var added = loans.Concat(calibrations).ToList();
        for (var index = 0; index < added.Count; index++)
        {
            var (from, until, what) = added[index];
            faults.AddRange(spans.Concat(added.Skip(index + 1)).Where(other => other.Item1 < until && from < other.Item2).Select(other => $"Kit {kit.Id}: {what} and {other.Item3} fall together."));
            if (from < kit.AvailableFrom)
            {
                faults.Add($"Kit {kit.Id}: {what} begins before the kit is on the shelf.");
            }
        }

        foreach (var calibration in Renewals(plan, kit))
        {
            if (calibration.From < problem.From || calibration.From >= problem.Until
                || !problem.Calibration.StartDays.Contains(calibration.From) || calibration.Until != calibration.From.AddDays(problem.Calibration.DaysAway))
            {
                faults.Add($"Kit {kit.Id}: it cannot go to calibration from {calibration.From:yyyy-MM-dd} to {calibration.Until:yyyy-MM-dd}.");
            }
        }

        faults.AddRange(loans.Where(loan => !Certified(problem, plan, kit, loan.Ship, loan.Bookable)).Select(loan => $"Kit {kit.Id}: the certificate ends before {loan.Item3} does."));
    }

    private static bool Certified(PlanProblem problem, FleetPlan plan, PlanKit kit, DateOnly from, DateOnly until)
    {
        var held = problem.Calibration.DaysHeld;
        var starts = Renewals(plan, kit).Select(one => (one.From, Back: one.Until))
            .Concat(kit.Away.Where(away => away.Reason == AwayReason.Calibration && away.Until is not null).Select(away => (away.From, Back: away.Until!.Value)));
        return until.AddDays(-1) <= kit.CertificateLastDay || starts.Any(one => one.Back <= from && until <= one.From.AddDays(held));
    }

    private static void AddTogether(List<string> faults, PlanProblem problem, FleetPlan plan)
    {
        var booked = problem.Kits.SelectMany(kit => kit.Away).Where(away => away.Reason == AwayReason.Calibration).Select(away => (away.From, Until: away.Until ?? DateOnly.MaxValue));
        var all = booked.Concat(plan.Calibrations.Select(one => (one.From, one.Until))).ToList();

        // Most are away together on a day on which one of them leaves; days without a calibration of the plan are not the plan's doing.
        foreach (var day in all.Select(one => one.From).Distinct().Where(day => plan.Calibrations.Any(one => one.From <= day && day < one.Until)))
        {
            if (all.Count(one => one.From <= day && day < one.Until) > problem.Calibration.MostAwayAtOnce)
            {
                faults.Add($"On {day:yyyy-MM-dd} more than {problem.Calibration.MostAwayAtOnce} kits are away for calibration.");
            }
        }
    }

    private static IEnumerable<PlannedCalibration> Renewals(FleetPlan plan, PlanKit kit) => plan.Calibrations.Where(one => one.KitId == kit.Id);
}
