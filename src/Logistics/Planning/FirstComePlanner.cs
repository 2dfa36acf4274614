namespace TeleHearing.Logistics.Planning;

/// <summary>
/// Plans as it is done by hand: each kit goes to calibration as late as its certificate allows, and the requests are served in the order in which they were asked, each with its earliest day on which a fitting kit is free. The measure of any cleverer plan.
/// </summary>
public static class FirstComePlanner
{
    /// <summary>Makes the plan.</summary>
    public static FleetPlan Plan(PlanProblem problem)
    {
        ArgumentNullException.ThrowIfNull(problem);
        var kits = problem.Kits.Select(kit => KitDays.Of(problem, kit)).ToList();
        var calibrations = CalibrateLate(problem, kits);
        return Place(problem, kits, calibrations);
    }

    /// <summary>Serves the requests in order around calibrations that are decided.</summary>
    public static FleetPlan Place(PlanProblem problem, IReadOnlyList<PlannedCalibration> calibrations)
    {
        ArgumentNullException.ThrowIfNull(problem);
        ArgumentNullException.ThrowIfNull(calibrations);
        return Place(problem, [.. problem.Kits.Select(kit => KitDays.Of(problem, kit))], calibrations);
    }

    /// <summary>When each kit would go to calibration: as late as its certificate allows, or as soon after that as the laboratory has room.</summary>
    public static IReadOnlyList<PlannedCalibration> Calibrate(PlanProblem problem)
    {
        ArgumentNullException.ThrowIfNull(problem);
        return CalibrateLate(problem, [.. problem.Kits.Select(kit => KitDays.Of(problem, kit))]);
    }

    private static FleetPlan Place(PlanProblem problem, IReadOnlyList<KitDays> kits, IReadOnlyList<PlannedCalibration> calibrations)
    {
        var taken = kits.ToDictionary(kit => kit.Kit.Id, kit => calibrations.Where(one => one.KitId == kit.Kit.Id).Select(one => (one.From, one.Until)).ToList(), StringComparer.Ordinal);
        var renewed = kits.ToDictionary(kit => kit.Kit.Id, kit => calibrations.Where(one => one.KitId == kit.Kit.Id).Select(one => KitDays.CoveredBy(problem, one.From)).ToList(), StringComparer.Ordinal);
        var loans = new List<PlannedLoan>();

        // A kit that can do little is taken before one that can do much.
        var simplestFirst = kits.OrderBy(kit => kit.Kit.Can.Count).ThenBy(kit => kit.Kit.Id, StringComparer.Ordinal).ToList();
        foreach (var request in problem.Requests.OrderBy(request => request.PromisedDay is null).ThenBy(request => request.AskedOn).ThenBy(request => request.Id, StringComparer.Ordinal))
        {
            var choices =
                from window in request.Windows
                where window.Ship >= problem.From && window.SessionDay < problem.Until
                orderby PlanCosts.IsMove(request, window), window.SessionDay
                from kit in simplestFirst
                where kit.CanServe(request) && kit.IsFree(window.Ship, window.Bookable)
                where kit.IsCovered(window.Ship, window.Bookable) || renewed[kit.Kit.Id].Exists(span => span.From <= window.Ship && window.Bookable <= span.Until)
                where !taken[kit.Kit.Id].Exists(span => span.From < window.Bookable && window.Ship < span.Until)
                select new PlannedLoan(request.Id, kit.Kit.Id, window);
            if (choices.FirstOrDefault() is { } loan)
            {
                loans.Add(loan);
                taken[loan.KitId].Add((loan.Window.Ship, loan.Window.Bookable));
            }
        }

        return new FleetPlan(loans, calibrations).InOrder();
    }

    private static List<PlannedCalibration> CalibrateLate(PlanProblem problem, IReadOnlyList<KitDays> kits)
    {
        var terms = problem.Calibration;
        var starts = terms.StartDays.Where(day => day >= problem.From && day < problem.Until).Distinct().Order().ToList();
        var booked = problem.Kits.SelectMany(kit => kit.Away).Where(away => away.Reason == AwayReason.Calibration).Select(away => (away.From, Until: away.Until ?? DateOnly.MaxValue)).ToList();
        var planned = new List<PlannedCalibration>();

        // By the first day without a certificate, over and over, so that kits whose turn comes at the same time share the laboratory.
        var waiting = new PriorityQueue<(KitDays Kit, List<DateOnly> Days), (DateOnly Day, string Id)>();
        void Wait(KitDays kit, List<DateOnly> days)
        {
            if (days.Count > 0)
            {
                waiting.Enqueue((kit, days), (days[0], kit.Kit.Id));
            }
        }

        foreach (var kit in kits)
        {
            Wait(kit, [.. kit.DaysToCover()]);
        }

        while (waiting.TryDequeue(out var next, out _))
        {
            var (kit, days) = next;
            bool Fits(DateOnly day) => kit.MayCalibrateOn(day)
                && !planned.Exists(one => one.KitId == kit.Kit.Id && one.From < day.AddDays(terms.DaysAway) && day < one.Until)
                && HasRoom(day);
            bool HasRoom(DateOnly day) => Enumerable.Range(0, terms.DaysAway).Select(day.AddDays).All(one =>
                booked.Count(span => span.From <= one && one < span.Until) + planned.Count(span => span.From <= one && one < span.Until) < terms.MostAwayAtOnce);

            // The latest start that still covers the day; failing that, the first one after it, with days uncovered in between.
            DateOnly? start = starts.Where(day => day <= days[0] && day.AddDays(terms.DaysHeld) > days[0] && Fits(day)).Cast<DateOnly?>().LastOrDefault()
                ?? starts.Where(day => day > days[0] && Fits(day)).Cast<DateOnly?>().FirstOrDefault();
            if (start is { } from)
            {
                planned.Add(new PlannedCalibration(kit.Kit.Id, from, from.AddDays(terms.DaysAway)));
                Wait(kit, [.. days.Where(day => day >= from.AddDays(terms.DaysHeld))]);
            }
        }

        return planned;
    }
}
