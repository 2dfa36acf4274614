using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Planning.Solving;

/// <summary>A kit and a window a request could have, as day numbers.</summary>
/// <param name="Window">Which of the request's windows.</param>
/// <param name="Kit">Which kit.</param>
/// <param name="Ship">First day away.</param>
/// <param name="Bookable">First day back on the shelf.</param>
/// <param name="Lateness">What it costs, weighted days.</param>
/// <param name="Moves">Whether it breaks the promise given.</param>
internal readonly record struct Choice(int Window, int Kit, int Ship, int Bookable, long Lateness, bool Moves)
{
    public bool Meets(int from, int until) => Ship < until && from < Bookable;
}

/// <summary>A run of days on which a kit needs one of the same calibrations to be covered.</summary>
/// <param name="From">First day.</param>
/// <param name="Until">First day after it.</param>
/// <param name="Cost">Days of it within the horizon; only they count as uncovered.</param>
/// <param name="Starts">Calibration starts that cover it, each alone.</param>
internal sealed record CoverRun(int From, int Until, int Cost, IReadOnlyList<int> Starts);

/// <summary>A problem in the numbers a solver works with, made once.</summary>
internal sealed class PlanIndex
{
    public PlanIndex(PlanProblem problem)
    {
        Problem = problem;
        Kits = [.. problem.Kits.Select(kit => KitDays.Of(problem, kit))];
        From = problem.From.DayNumber;
        var windows = problem.Requests.SelectMany(request => request.Windows).Where(window => Within(problem, window)).ToList();
        End = Math.Max(problem.Until.DayNumber, windows.Count == 0 ? From : windows.Max(window => window.Bookable.DayNumber));
        Starts =
        [
            .. Kits.Select(kit => (IReadOnlyList<int>)[.. problem.Calibration.StartDays.Distinct().Where(kit.MayCalibrateOn).Select(day => day.DayNumber).Order()]),
        ];
        Cover = [.. Kits.Select((kit, index) => CoverOf(kit, Starts[index]))];
        Choices = [.. problem.Requests.Select(ChoicesOf)];
        Booked =
        [
            .. problem.Kits.SelectMany(kit => kit.Away).Where(away => away.Reason == AwayReason.Calibration)
                .Select(away => (away.From.DayNumber, away.Until?.DayNumber ?? int.MaxValue)),
        ];
    }

    public PlanProblem Problem { get; }

    public IReadOnlyList<KitDays> Kits { get; }

    /// <summary>First day, as a number.</summary>
    public int From { get; }

    /// <summary>First day after everything that may happen.</summary>
    public int End { get; }

    /// <summary>Days on which each kit may go to calibration.</summary>
    public IReadOnlyList<IReadOnlyList<int>> Starts { get; }

    /// <summary>What of each kit's days must be covered by a calibration of the plan.</summary>
    public IReadOnlyList<IReadOnlyList<CoverRun>> Cover { get; }

    /// <summary>What each request could have.</summary>
    public IReadOnlyList<IReadOnlyList<Choice>> Choices { get; }

    /// <summary>Calibrations that are booked already.</summary>
    public IReadOnlyList<(int From, int Until)> Booked { get; }

    public long TotalWeight => Problem.Requests.Sum(request => (long)request.Urgency.Weight);

    private static bool Within(PlanProblem problem, LoanWindow window) => window.Ship >= problem.From && window.SessionDay < problem.Until;

    private List<Choice> ChoicesOf(PlanRequest request)
    {
        var choices = new List<Choice>();
        for (var window = 0; window < request.Windows.Count; window++)
        {
            var days = request.Windows[window];
            if (!Within(Problem, days))
            {
                continue;
            }

            for (var kit = 0; kit < Kits.Count; kit++)
            {
                if (Kits[kit].CanServe(request) && Kits[kit].IsFree(days.Ship, days.Bookable) && CanBeCovered(kit, days))
                {
                    choices.Add(new Choice(window, kit, days.Ship.DayNumber, days.Bookable.DayNumber, PlanCosts.Lateness(request, days), PlanCosts.IsMove(request, days)));
                }
            }
        }

        return choices;
    }

    private bool CanBeCovered(int kit, LoanWindow days) => Kits[kit].IsCovered(days.Ship, days.Bookable)
        || Starts[kit].Any(start => start + Problem.Calibration.DaysAway <= days.Ship.DayNumber && days.Bookable.DayNumber <= start + Problem.Calibration.DaysHeld);

    private List<CoverRun> CoverOf(KitDays kit, IReadOnlyList<int> starts)
    {
        var runs = new List<CoverRun>();
        for (var day = From; day < End; day++)
        {
            var date = DateOnly.FromDayNumber(day);
            if (!kit.IsFree(date, date.AddDays(1)) || kit.IsCovered(date, date.AddDays(1)))
            {
                continue;
            }

            var covering = starts.Where(start => start <= day && day < start + Problem.Calibration.DaysHeld).ToList();
            var cost = date < Problem.Until ? 1 : 0;
            if (runs.Count > 0 && runs[^1] is var last && last.Until == day && last.Starts.SequenceEqual(covering))
            {
                runs[^1] = last with { Until = day + 1, Cost = last.Cost + cost };
            }
            else
            {
                runs.Add(new CoverRun(day, day + 1, cost, covering));
            }
        }

        return runs;
    }
}
