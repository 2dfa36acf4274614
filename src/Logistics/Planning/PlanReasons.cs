using System.Globalization;

namespace TeleHearing.Logistics.Planning;

/// <summary>Kinds of reason why a request has no kit.</summary>
public enum UnplacedReason
{
    /// <summary>No kit can do what it needs.</summary>
    NoKitOfKind,

    /// <summary>None of its days lies within the plan.</summary>
    NoDay,

    /// <summary>On every day each fitting kit is held or not on the shelf.</summary>
    Held,

    /// <summary>On every day each fitting kit is held or without a certificate to the end of the loan.</summary>
    CertificateEnds,

    /// <summary>On every day each fitting kit is with others, at calibration, held or without a certificate.</summary>
    KitsAway,

    /// <summary>A fitting kit is free on one of its days; the search was stopped before it was used.</summary>
    NotReached,
}

/// <summary>A request without a kit.</summary>
/// <param name="RequestId">Request.</param>
/// <param name="Reason">Kind of reason.</param>
/// <param name="Sentence">The reason as a coordinator reads it.</param>
/// <param name="Details">What stood against each kit on each day, as sentences.</param>
public sealed record UnplacedRequest(string RequestId, UnplacedReason Reason, string Sentence, IReadOnlyList<string> Details);

/// <summary>Says after planning why a request has no kit.</summary>
public static class PlanReasons
{
    private enum Obstacle
    {
        None,
        Hold,
        Certificate,
        Calibration,
        Loan,
        Given,
    }

    /// <summary>The reasons, in the order of the requests.</summary>
    public static IReadOnlyList<UnplacedRequest> Of(PlanProblem problem, FleetPlan plan)
    {
        ArgumentNullException.ThrowIfNull(problem);
        ArgumentNullException.ThrowIfNull(plan);
        var placed = plan.Loans.Select(loan => loan.RequestId).ToHashSet(StringComparer.Ordinal);
        return [.. problem.Requests.Where(request => !placed.Contains(request.Id)).Select(request => Why(problem, plan, request))];
    }

    private static UnplacedRequest Why(PlanProblem problem, FleetPlan plan, PlanRequest request)
    {
        var kits = problem.Kits.Where(kit => request.Needs.IsSubsetOf(kit.Can)).ToList();
        if (kits.Count == 0)
        {
            var missing = request.Needs.Where(need => !problem.Kits.Any(kit => kit.Can.Contains(need))).Order(StringComparer.Ordinal).ToList();
            return new(request.Id, UnplacedReason.NoKitOfKind, missing.Count > 0 ? $"No kit has {string.Join(", ", missing)}." : $"No single kit has all of {string.Join(", ", request.Needs.Order(StringComparer.Ordinal))}.", []);
        }

        var windows = request.Windows.Where(window => window.Ship >= problem.From && window.SessionDay < problem.Until).OrderBy(window => window.SessionDay).ToList();
        if (windows.Count == 0)
        {
            return new(request.Id, UnplacedReason.NoDay, $"None of its days can be served by a kit that leaves on {Day(problem.From)} or later, with the session before {Day(problem.Until)}.", []);
        }

        var found = windows.SelectMany(window => kits.Select(kit => (window, kit, What: Stands(problem, plan, kit, window)))).ToList();
        var details = found.Select(one => string.Create(CultureInfo.InvariantCulture, $"Session on {Day(one.window.SessionDay)}, kit {one.kit.Id}: {one.What.Sentence}")).ToList();
        var obstacles = found.Select(one => one.What.Obstacle).ToHashSet();
        var fitting = kits.Count == 1 ? $"{kits[0].Id}, the only kit that fits," : string.Create(CultureInfo.InvariantCulture, $"each of the {kits.Count} kits that fit");
        var (reason, sentence) = obstacles switch
        {
            _ when obstacles.Contains(Obstacle.None) => (UnplacedReason.NotReached, "A kit is free on one of its days. The search was stopped before it was used: plan again, or place it by hand."),
            _ when obstacles.IsSubsetOf([Obstacle.Hold]) => (UnplacedReason.Held, $"On every possible day {fitting} is held or not on the shelf."),
            _ when obstacles.IsSubsetOf([Obstacle.Hold, Obstacle.Certificate]) => (UnplacedReason.CertificateEnds, $"On every possible day the calibration of {fitting} ends before the loan would, or the kit is held."),
            _ when obstacles.IsSubsetOf([Obstacle.Given]) => (UnplacedReason.KitsAway, $"On every possible day this plan gives {fitting} to another request."),
            _ => (UnplacedReason.KitsAway, $"On every possible day {fitting} is away{(obstacles.Contains(Obstacle.Given) ? ", or given to another request by this plan" : string.Empty)}."),
        };
        return new(request.Id, reason, sentence, details);
    }

    private static (Obstacle Obstacle, string Sentence) Stands(PlanProblem problem, FleetPlan plan, PlanKit kit, LoanWindow window)
    {
        bool Meets(DateOnly from, DateOnly? until) => from < window.Bookable && (until is null || window.Ship < until);
        if (kit.Away.FirstOrDefault(away => away.Reason == AwayReason.Hold && Meets(away.From, away.Until)) is { } hold)
        {
            return (Obstacle.Hold, hold.Until is { } until ? $"held until {Day(until)}: {hold.Why}" : $"held: {hold.Why}");
        }

        if (problem.Fixed.FirstOrDefault(loan => loan.KitId == kit.Id && Meets(loan.Ship, loan.Bookable)) is { } given)
        {
            return (Obstacle.Loan, $"with {given.RequestId} until {Day(given.Bookable)}, which stays as it is.");
        }

        if (kit.Away.FirstOrDefault(away => away.Reason == AwayReason.Calibration && Meets(away.From, away.Until)) is { } booked)
        {
            return (Obstacle.Calibration, booked.Until is { } until ? $"at calibration until {Day(until)}." : "at calibration, with no day of return.");
        }

        if (kit.AvailableFrom > window.Ship)
        {
            return (Obstacle.Hold, $"not on the shelf before {Day(kit.AvailableFrom)}.");
        }

        if (plan.Loans.FirstOrDefault(loan => loan.KitId == kit.Id && Meets(loan.Window.Ship, loan.Window.Bookable)) is { } other)
        {
            return (Obstacle.Given, $"with {other.RequestId} from {Day(other.Window.Ship)} to {Day(other.Window.Bookable)}.");
        }

        var own = plan.Calibrations.Where(one => one.KitId == kit.Id).ToList();
        if (own.Find(one => Meets(one.From, one.Until)) is { } planned)
        {
            return (Obstacle.Calibration, $"at calibration from {Day(planned.From)} to {Day(planned.Until)}.");
        }

        var days = KitDays.Of(problem, kit);
        return days.IsCovered(window.Ship, window.Bookable) || own.Exists(one => one.Until <= window.Ship && window.Bookable <= one.From.AddDays(problem.Calibration.DaysHeld))
            ? (Obstacle.None, "free.")
            : (Obstacle.Certificate, $"its calibration ends before {Day(window.Bookable)}, when the loan would be over.");
    }

    private static string Day(DateOnly day) => day.ToString("d MMMM yyyy", CultureInfo.InvariantCulture);
}
