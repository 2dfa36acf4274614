namespace TeleHearing.Logistics.Planning;

/// <summary>Kits, requests and rules of a span of days: all that a plan is made from. Days are the clinic's local dates; every span runs from its first day up to, and without, its last.</summary>
public sealed record PlanProblem
{
    /// <summary>First day on which a kit may still be sent.</summary>
    public required DateOnly From { get; init; }

    /// <summary>First day that is planned no more: no session is placed on it or later.</summary>
    public required DateOnly Until { get; init; }

    /// <summary>The kits.</summary>
    public required IReadOnlyList<PlanKit> Kits { get; init; }

    /// <summary>Requests that wait for a kit, or were promised a day and may still be moved.</summary>
    public required IReadOnlyList<PlanRequest> Requests { get; init; }

    /// <summary>Loans that stay as they are: packed or sent.</summary>
    public IReadOnlyList<FixedLoan> Fixed { get; init; } = [];

    /// <summary>How kits go to calibration.</summary>
    public required CalibrationTerms Calibration { get; init; }
}

/// <summary>A kit as a plan sees it.</summary>
/// <param name="Id">Its number.</param>
/// <param name="Can">What it can measure, in the words requests use.</param>
/// <param name="AvailableFrom">First day on which it is on the shelf.</param>
/// <param name="CertificateLastDay">Last day on which its calibration holds; absent when it has none.</param>
public sealed record PlanKit(string Id, IReadOnlySet<string> Can, DateOnly AvailableFrom, DateOnly? CertificateLastDay)
{
    /// <summary>When it cannot be lent though no loan has it.</summary>
    public IReadOnlyList<KitAway> Away { get; init; } = [];
}

/// <summary>A span in which a kit cannot be lent though no loan has it.</summary>
/// <param name="From">First day.</param>
/// <param name="Until">First day on which it can be lent again; absent while nobody can say.</param>
/// <param name="Reason">Kind of reason.</param>
/// <param name="Why">The reason as a coordinator reads it, e.g. "battery suspect".</param>
public sealed record KitAway(DateOnly From, DateOnly? Until, AwayReason Reason, string Why);

/// <summary>Why a kit cannot be lent.</summary>
public enum AwayReason
{
    /// <summary>Something holds it.</summary>
    Hold,

    /// <summary>It is, or is booked, at the laboratory, and comes back with a new certificate.</summary>
    Calibration,
}

/// <summary>A request for a kit.</summary>
/// <param name="Id">Its id.</param>
/// <param name="Needs">What must be measured; the kit must be able to do all of it.</param>
/// <param name="Urgency">How long it may wait, and how much it counts.</param>
/// <param name="AskedOn">Day it was asked.</param>
/// <param name="Preferred">Earliest day the person would like.</param>
/// <param name="Windows">The session days that are possible, each with the days on which a kit is then away.</param>
public sealed record PlanRequest(
    string Id,
    IReadOnlySet<string> Needs,
    UrgencyClass Urgency,
    DateOnly AskedOn,
    DateOnly Preferred,
    IReadOnlyList<LoanWindow> Windows)
{
    /// <summary>Session day the person was already told; absent when none was.</summary>
    public DateOnly? PromisedDay { get; init; }

    /// <summary>Last day within the urgency's longest wait.</summary>
    public DateOnly LastDayInTime() => AskedOn.AddDays(Urgency.LongestWaitDays);
}

/// <summary>How urgent a request is.</summary>
/// <param name="Name">What people call it.</param>
/// <param name="LongestWaitDays">Longest wait from asking to the session that the clinic wants, days.</param>
/// <param name="Weight">How much one such request counts against others; 1 or more.</param>
public sealed record UrgencyClass(string Name, int LongestWaitDays, int Weight);

/// <summary>One possible session day of a request, with the span a kit is then away.</summary>
/// <param name="SessionDay">Day of the session.</param>
/// <param name="Ship">Day the kit leaves.</param>
/// <param name="Bookable">First day it can leave again, turnaround over.</param>
public sealed record LoanWindow(DateOnly SessionDay, DateOnly Ship, DateOnly Bookable);

/// <summary>A loan that stays as it is.</summary>
/// <param name="RequestId">Its request.</param>
/// <param name="KitId">Its kit.</param>
/// <param name="Ship">Day the kit left or leaves.</param>
/// <param name="Bookable">First day it can leave again.</param>
public sealed record FixedLoan(string RequestId, string KitId, DateOnly Ship, DateOnly Bookable);

/// <summary>How kits go to calibration.</summary>
/// <param name="DaysAway">How long a kit is away for it, days.</param>
/// <param name="DaysHeld">How long a new certificate holds, days, counted from the first day away: the earliest day the laboratory can have dated it, so that a plan never counts on a day that may be missing.</param>
/// <param name="MostAwayAtOnce">How many kits may be away for it at once.</param>
/// <param name="StartDays">Days on which a kit may go.</param>
public sealed record CalibrationTerms(int DaysAway, int DaysHeld, int MostAwayAtOnce, IReadOnlyList<DateOnly> StartDays);
