namespace TeleHearing.Logistics.Planning;

/// <summary>Which kit goes to whom and when, and when each kit goes to calibration.</summary>
/// <param name="Loans">Requests that get a kit, each once, in order of their request's id.</param>
/// <param name="Calibrations">Calibrations the plan adds to those already booked, by kit and day.</param>
public sealed record FleetPlan(IReadOnlyList<PlannedLoan> Loans, IReadOnlyList<PlannedCalibration> Calibrations)
{
    /// <summary>Nothing placed.</summary>
    public static FleetPlan Empty { get; } = new([], []);

    /// <summary>The same plan in the order in which plans are given out, so that equal plans look equal.</summary>
    public FleetPlan InOrder() => new(
        [.. Loans.OrderBy(loan => loan.RequestId, StringComparer.Ordinal)],
        [.. Calibrations.OrderBy(one => one.KitId, StringComparer.Ordinal).ThenBy(one => one.From)]);
}

/// <summary>A request and the kit it gets.</summary>
public sealed record PlannedLoan(string RequestId, string KitId, LoanWindow Window);

/// <summary>A kit away for calibration.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="From">Day it goes.</param>
/// <param name="Until">First day on which it can be lent again.</param>
public sealed record PlannedCalibration(string KitId, DateOnly From, DateOnly Until);
