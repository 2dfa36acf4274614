namespace TeleHearing.Logistics.Planning;

/// <summary>What one kit can do on which day, apart from what a plan decides: fixed loans, holds, booked calibrations, certificates.</summary>
public sealed class KitDays
{
    private readonly PlanProblem _problem;
    private readonly List<(int From, int Until)> _taken = [];
    private readonly List<(int From, int Until)> _certificates = [];

    private KitDays(PlanProblem problem, PlanKit kit) => (_problem, Kit) = (problem, kit);

    /// <summary>The kit.</summary>
    public PlanKit Kit { get; }

    /// <summary>Looks at one kit of a problem.</summary>
    public static KitDays Of(PlanProblem problem, PlanKit kit)
    {
        ArgumentNullException.ThrowIfNull(problem);
        ArgumentNullException.ThrowIfNull(kit);
        var days = new KitDays(problem, kit);
        days._certificates.Add((int.MinValue, kit.CertificateLastDay is { } last ? last.DayNumber + 1 : int.MinValue));
        days._taken.Add((int.MinValue, kit.AvailableFrom.DayNumber));
        foreach (var away in kit.Away)
        {
            var until = away.Until?.DayNumber ?? int.MaxValue;
            days._taken.Add((away.From.DayNumber, until));
            if (away.Reason == AwayReason.Calibration && until != int.MaxValue)
            {
                days._certificates.Add((until, away.From.DayNumber + problem.Calibration.DaysHeld));
            }
        }

        days._taken.AddRange(problem.Fixed.Where(loan => loan.KitId == kit.Id).Select(loan => (loan.Ship.DayNumber, loan.Bookable.DayNumber)));
        return days;
    }

    /// <summary>Whether nothing decided already takes the kit in this span.</summary>
    public bool IsFree(DateOnly from, DateOnly until) => !_taken.Exists(span => span.From < until.DayNumber && from.DayNumber < span.Until);

    /// <summary>Whether a certificate that is there or booked covers every day of the span.</summary>
    public bool IsCovered(DateOnly from, DateOnly until) => _certificates.Exists(span => span.From <= from.DayNumber && until.DayNumber <= span.Until);

    /// <summary>Whether the kit could be sent to calibration on this day, as far as this kit alone decides.</summary>
    public bool MayCalibrateOn(DateOnly day) =>
        day >= _problem.From && day < _problem.Until && IsFree(day, day.AddDays(_problem.Calibration.DaysAway));

    /// <summary>Days of the horizon on which the kit could be lent but no certificate that is there or booked covers it. Calibrations of a plan cover some of them.</summary>
    public IReadOnlyList<DateOnly> DaysToCover()
    {
        var days = new List<DateOnly>();
        for (var day = _problem.From; day < _problem.Until; day = day.AddDays(1))
        {
            if (IsFree(day, day.AddDays(1)) && !IsCovered(day, day.AddDays(1)))
            {
                days.Add(day);
            }
        }

        return days;
    }

    /// <summary>Whether this kit can do all that a request needs.</summary>
    public bool CanServe(PlanRequest request)
    {
        ArgumentNullException.ThrowIfNull(request);
        return request.Needs.IsSubsetOf(Kit.Can);
    }

    /// <summary>Span a planned calibration covers, given the day it begins: from the return of the kit until the certificate ends.</summary>
    internal static (DateOnly From, DateOnly Until) CoveredBy(PlanProblem problem, DateOnly start) =>
        (start.AddDays(problem.Calibration.DaysAway), start.AddDays(problem.Calibration.DaysHeld));
}
