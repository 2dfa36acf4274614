using System.Globalization;
using TeleHearing.Charts;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Fleet.Planning;

/// <summary>A plan in plain words. Pure.</summary>
public static partial class PlanWords
{
    /// <summary>How far the search is from the best there can be, while it goes on.</summary>
    public static string StillOpen(FleetPlanProgress progress) => progress switch
    {
        { Best: null } or { Bound: null } => "How much better it could get is not known yet.",
        { Bound.Proven: true } => "This is the best plan there is.",
        { Best: { } best, Bound: { } bound } when best.UnplacedWeight > bound.UnplacedWeight =>
            Text($"At most {Points(best.UnplacedWeight - bound.UnplacedWeight)} more could still be placed."),
        { Best.Lateness: 0 } => "No plan places more, and none makes anybody wait less.",
        _ => "No plan places more; shorter waits may still be found.",
    };

    /// <summary>How far the plan is from the best there can be.</summary>
    public static string Gap(FleetPlanProgress last, FleetPlanView plan)
    {
        if (last.Bound?.Proven == true)
        {
            return "Proven: no plan places more, and none that places as much makes people wait less.";
        }

        var placed = plan.WeightGap <= 0 ? "Proven: no plan places more." : $"No plan places more than {FleetSizesText.Percent(plan.WeightGap)} beyond this one, counted by urgency.";
        var late = plan.LatenessGap switch
        {
            null => "How much shorter the waits could be is not known.",
            <= 0 => "None that places as much makes people wait less.",
            { } gap => $"The waits could at best be {FleetSizesText.Percent(gap)} shorter.",
        };
        return $"{placed} {late}";
    }

    /// <summary>What the plan gains over serving the requests in the order asked.</summary>
    public static string Gain(FleetPlanFigures best, FleetPlanFigures firstCome)
    {
        var gains = new List<string>();
        var prices = new List<string>();
        Add(firstCome.UncoveredDays - (long)best.UncoveredDays, days => Text($"{days} {(days == 1 ? "day" : "days")} fewer on which a kit lies idle for want of a certificate"), days => Text($"{days} more such days"));
        Add(firstCome.UnplacedWeight - best.UnplacedWeight, points => $"{Points(points)} more placed", points => $"{Points(points)} less placed");
        Add(firstCome.Lateness - best.Lateness, days => Text($"{days} weighted {(days == 1 ? "day" : "days")} of waiting less"), days => Text($"{days} weighted {(days == 1 ? "day" : "days")} of waiting more"));
        Add(firstCome.Moves - (long)best.Moves, moves => Text($"{moves} {(moves == 1 ? "promise" : "promises")} more kept"), moves => Text($"{moves} {(moves == 1 ? "promise" : "promises")} less kept"));
        return (gains.Count, prices.Count) switch
        {
            (0, _) => "First come, first served would do as well here.",
            (_, 0) => $"Against first come, first served: {string.Join(", ", gains)}.",
            _ => $"Against first come, first served: {string.Join(", ", gains)}; for that {string.Join(", ", prices)}.",
        };

        void Add(long difference, Func<long, string> gain, Func<long, string> price)
        {
            if (difference > 0)
            {
                gains.Add(gain(difference));
            }
            else if (difference < 0)
            {
                prices.Add(price(-difference));
            }
        }
    }

    /// <summary>What one more kit of a kind would change.</summary>
    public static string OneMore(FleetPlanOneMore one)
    {
        var kit = one.Can.Count == 0 ? "One more kit" : $"One more kit with {string.Join(" and ", one.Can.Select(Kind))}";
        if (one.WeightMore <= 0 && one.LatenessLess <= 0)
        {
            return one.WeightMoreAtMost <= 0 ? $"{kit}: nothing more could be placed." : Text($"{kit}: nothing better was found; at most {Points(one.WeightMoreAtMost)} more could be placed.");
        }

        var more = one.PlacedMore > 0 ? Text($"{one.PlacedMore} {(one.PlacedMore == 1 ? "request" : "requests")} more placed") : one.WeightMore > 0 ? $"{Points(one.WeightMore)} more placed" : "no request more placed";
        var wait = one.LatenessLess switch
        {
            0 => string.Empty,
            > 0 => Text($", {one.LatenessLess} weighted days of waiting less"),
            _ => Text($", {-one.LatenessLess} weighted days of waiting more, since more are served"),
        };
        return $"{kit}: {more}{wait}.";
    }

    /// <summary>Kits of which one more would change something, or might.</summary>
    public static IReadOnlyList<FleetPlanOneMore> Helpful(IReadOnlyList<FleetPlanOneMore> all) =>
        [.. all.Where(one => one.WeightMore > 0 || one.LatenessLess > 0 || one.WeightMoreAtMost > 0)];

    /// <summary>A reason with the loans it names called by their place and days instead of by their number.</summary>
    public static string Named(string reason, Func<LoanId, string> name) =>
        Number().Replace(reason, found => $"the request of {name(new LoanId(Guid.Parse(found.Value)))},");

    [System.Text.RegularExpressions.GeneratedRegex("[0-9a-fA-F]{8}(-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")]
    private static partial System.Text.RegularExpressions.Regex Number();

    /// <summary>Days as a short stretch.</summary>
    public static string Days(DateOnly from, DateOnly until) => $"{Loans.LoanWords.Weekday(from)} to {Loans.LoanWords.Weekday(until.AddDays(-1))}";

    private static string Kind(string name) => Enum.TryParse<Audiology.Levels.TransducerKind>(name, out var kind) ? Loans.LoanWords.Transducer(kind) : name;

    private static string Points(long weight) => Text($"{weight} {(weight == 1 ? "point" : "points")} of urgency");

    private static string Text(FormattableString words) => words.ToString(CultureInfo.InvariantCulture);
}
