namespace TeleHearing.Contracts;

/// <summary>Ask for a plan of the fleet: which kit goes to which request, and when each goes to calibration. Nothing is recorded; loans are placed by their own commands.</summary>
/// <param name="PlanId">Id of the run, made by whoever asks; it is stopped under this id.</param>
/// <param name="From">First day on which a kit may leave; not before today.</param>
/// <param name="Until">First day that is planned no more.</param>
/// <param name="Seconds">Longest search, 1 to 600 s.</param>
/// <param name="LaterDays">How many working days of the site later than asked a session may be put, 0 to 60. None keeps every session on its day.</param>
/// <param name="MovePromised">Whether loans that have a kit but have not left may be planned anew.</param>
/// <param name="OneMoreKit">Whether to say what one more kit of each kind would change; takes some seconds more for each kind.</param>
public sealed record FleetPlanAsk(Guid PlanId, DateOnly From, DateOnly Until, int Seconds, int LaterDays, bool MovePromised, bool OneMoreKit);

/// <summary>Where a plan in the making stands. The last one carries the plan.</summary>
/// <param name="PlanId">Run.</param>
/// <param name="Seconds">Seconds since it began.</param>
/// <param name="Requests">Requests that are planned.</param>
/// <param name="Placed">Requests with a kit in the best plan so far.</param>
/// <param name="Best">How good that plan is.</param>
/// <param name="Bound">What no plan can beat, as far as is known yet.</param>
/// <param name="Plan">The plan, in the last one only.</param>
/// <param name="Refusal">Why there is none.</param>
public sealed record FleetPlanProgress(Guid PlanId, double Seconds, int Requests, int Placed, FleetPlanFigures? Best, FleetPlanBound? Bound, FleetPlanView? Plan, Refusal? Refusal);

/// <summary>How good a plan is; less is better, and an earlier figure counts before all later ones.</summary>
/// <param name="UncoveredDays">Days on which a kit could be lent but for its certificate.</param>
/// <param name="UnplacedWeight">Weights of the requests without a kit.</param>
/// <param name="Lateness">Weighted days of waiting.</param>
/// <param name="Moves">Promised days that are not kept.</param>
public sealed record FleetPlanFigures(int UncoveredDays, long UnplacedWeight, long Lateness, int Moves);

/// <summary>What no plan can beat.</summary>
/// <param name="UnplacedWeight">No plan leaves less weight without a kit.</param>
/// <param name="Lateness">No plan that places as much has less; absent while not known.</param>
/// <param name="Proven">The best plan so far is the best there is.</param>
public sealed record FleetPlanBound(long UnplacedWeight, long? Lateness, bool Proven);

/// <summary>A plan.</summary>
/// <param name="Loans">Requests with a kit.</param>
/// <param name="Calibrations">When kits go to calibration.</param>
/// <param name="Unplaced">Requests without a kit, and why.</param>
/// <param name="OneMoreKit">What one more kit would change, a line for each kind; empty when not asked or stopped before.</param>
/// <param name="FirstCome">How good it would be to serve the requests in the order asked.</param>
/// <param name="WeightGap">How far the weight placed can at most be from the best, as a share of the most that can be placed.</param>
/// <param name="LatenessGap">How far the lateness can at most be from the least, as a share of it; absent while no bound is known.</param>
/// <param name="Stopped">Whether it was stopped before its time.</param>
public sealed record FleetPlanView(
    IReadOnlyList<FleetPlanLoan> Loans,
    IReadOnlyList<FleetPlanCalibration> Calibrations,
    IReadOnlyList<FleetPlanUnplaced> Unplaced,
    IReadOnlyList<FleetPlanOneMore> OneMoreKit,
    FleetPlanFigures FirstCome,
    double WeightGap,
    double? LatenessGap,
    bool Stopped);

/// <summary>A request and its kit.</summary>
/// <param name="LoanId">Request.</param>
/// <param name="KitId">Kit.</param>
/// <param name="SessionDay">Day of the (first) session at the site.</param>
/// <param name="Ship">Day the kit leaves.</param>
/// <param name="Bookable">First day it can leave again.</param>
/// <param name="Moved">Whether the day differs from the one promised.</param>
public sealed record FleetPlanLoan(LoanId LoanId, KitId KitId, DateOnly SessionDay, DateOnly Ship, DateOnly Bookable, bool Moved);

/// <summary>A kit at the laboratory.</summary>
public sealed record FleetPlanCalibration(KitId KitId, DateOnly From, DateOnly Until);

/// <summary>A request without a kit.</summary>
/// <param name="LoanId">Request.</param>
/// <param name="Reason">Why, in one sentence.</param>
/// <param name="Details">Day by day and kit by kit, what stood against it.</param>
public sealed record FleetPlanUnplaced(LoanId LoanId, string Reason, IReadOnlyList<string> Details);

/// <summary>What one more kit of a kind would change.</summary>
/// <param name="Can">What is in it.</param>
/// <param name="PlacedMore">Requests placed more in the plan found with it.</param>
/// <param name="WeightMore">Their weight.</param>
/// <param name="WeightMoreAtMost">No plan with it places more than this beyond the plan without it.</param>
/// <param name="LatenessLess">Weighted days of waiting saved; below zero when those placed more wait.</param>
public sealed record FleetPlanOneMore(IReadOnlyList<string> Can, int PlacedMore, long WeightMore, long WeightMoreAtMost, long LatenessLess);

/// <summary>Answer to the stop of a search.</summary>
/// <param name="Refusal">Why it was not stopped; absent when it was.</param>
public sealed record FleetPlanStopped(Refusal? Refusal);
