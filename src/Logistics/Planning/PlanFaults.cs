namespace TeleHearing.Logistics.Planning;

/// <summary>Says what keeps a problem from being planned.</summary>
public static class PlanFaults
{
    /// <summary>Longest span planned at once, days (design): two years.</summary>
    public const int LongestHorizonDays = 731;

    /// <summary>Largest weight of an urgency (design): keeps sums far from overflow.</summary>
    public const int LargestWeight = 1000;

    /// <summary>All that is wrong, at once; empty when nothing is.</summary>
    public static IReadOnlyList<LogisticsFault> Of(PlanProblem problem)
    {
        ArgumentNullException.ThrowIfNull(problem);
        var faults = new List<LogisticsFault>();
        var length = problem.Until.DayNumber - problem.From.DayNumber;
        if (length is < 1 or > LongestHorizonDays)
        {
            faults.Add(new("Until", $"The plan runs from {problem.From:yyyy-MM-dd} up to {problem.Until:yyyy-MM-dd}. Give a span of 1 to {LongestHorizonDays} days."));
        }

        AddTwice(faults, "Kits", problem.Kits.Select(kit => kit.Id));
        AddTwice(faults, "Requests", problem.Requests.Select(request => request.Id).Concat(problem.Fixed.Select(loan => loan.RequestId)));
        AddCalibration(faults, problem.Calibration);
        foreach (var request in problem.Requests)
        {
            AddRequest(faults, request);
        }

        foreach (var kit in problem.Kits)
        {
            foreach (var away in kit.Away.Where(away => away.Until <= away.From))
            {
                faults.Add(new(kit.Id, $"The time away from {away.From:yyyy-MM-dd} ends before it begins."));
            }
        }

        AddFixed(faults, problem);
        return faults;
    }

    private static void AddTwice(List<LogisticsFault> faults, string field, IEnumerable<string> ids)
    {
        foreach (var twice in ids.GroupBy(id => id, StringComparer.Ordinal).Where(group => group.Count() > 1))
        {
            faults.Add(new(field, $"{twice.Key} is there twice. Keep one of it."));
        }
    }

    private static void AddCalibration(List<LogisticsFault> faults, CalibrationTerms terms)
    {
        if (terms.DaysAway is < 1 or > 365)
        {
            faults.Add(new("DaysAway", "Give 1 to 365 days for a calibration."));
        }

        if (terms.DaysHeld <= terms.DaysAway || terms.DaysHeld > 5000)
        {
            faults.Add(new("DaysHeld", $"A certificate that holds {terms.DaysHeld} days from the day the kit leaves is of no use after {terms.DaysAway} days away. Give more days."));
        }

        if (terms.MostAwayAtOnce is < 0 or > 1000)
        {
            faults.Add(new("MostAwayAtOnce", "Give 0 to 1000 kits that may be away for calibration at once."));
        }
    }

    private static void AddRequest(List<LogisticsFault> faults, PlanRequest request)
    {
        if (request.Urgency.Weight is < 1 or > LargestWeight || request.Urgency.LongestWaitDays is < 0 or > 5000)
        {
            faults.Add(new(request.Id, $"The urgency \"{request.Urgency.Name}\" needs a weight of 1 to {LargestWeight} and a longest wait of 0 to 5000 days."));
        }

        foreach (var window in request.Windows.Where(window => !(window.Ship <= window.SessionDay && window.SessionDay < window.Bookable)))
        {
            faults.Add(new(request.Id, $"For a session on {window.SessionDay:yyyy-MM-dd} the kit would leave on {window.Ship:yyyy-MM-dd} and be bookable on {window.Bookable:yyyy-MM-dd}. It must leave by the session's day and be bookable after it."));
        }

        if (request.Windows.Select(window => window.SessionDay).Distinct().Count() != request.Windows.Count)
        {
            faults.Add(new(request.Id, "A session day is there twice. Keep one of it."));
        }
    }

    private static void AddFixed(List<LogisticsFault> faults, PlanProblem problem)
    {
        var kits = problem.Kits.Select(kit => kit.Id).ToHashSet(StringComparer.Ordinal);
        foreach (var loan in problem.Fixed)
        {
            if (!kits.Contains(loan.KitId))
            {
                faults.Add(new("Fixed", $"Loan {loan.RequestId} has kit {loan.KitId}, which is not among the kits."));
            }

            if (loan.Bookable <= loan.Ship)
            {
                faults.Add(new("Fixed", $"Loan {loan.RequestId} of kit {loan.KitId} ends before it begins."));
            }
        }

        foreach (var ofKit in problem.Fixed.GroupBy(loan => loan.KitId, StringComparer.Ordinal))
        {
            var inOrder = ofKit.OrderBy(loan => loan.Ship).ThenBy(loan => loan.RequestId, StringComparer.Ordinal).ToList();
            foreach (var (first, second) in inOrder.Zip(inOrder.Skip(1)).Where(pair => pair.Second.Ship < pair.First.Bookable))
            {
                faults.Add(new("Fixed", $"Kit {ofKit.Key} is with two loans at once: {first.RequestId} has it until {first.Bookable:yyyy-MM-dd}, and {second.RequestId} takes it on {second.Ship:yyyy-MM-dd}. Put one of them right first."));
            }
        }
    }
}
