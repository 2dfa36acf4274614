namespace TeleHearing.Logistics.Planning;

/// <summary>How good a plan is. Less is better in every part, and an earlier part counts before all later ones.</summary>
/// <param name="UncoveredDays">Days on which a kit could be lent but for its certificate. Calibration comes before its last valid day wherever that can be done at all, so this part counts first.</param>
/// <param name="UnplacedWeight">Weights of the requests without a kit, added up.</param>
/// <param name="Lateness">Weighted days of waiting, see <see cref="PlanCosts.Lateness"/>.</param>
/// <param name="Moves">Promised session days that are not kept.</param>
public sealed record PlanScore(int UncoveredDays, long UnplacedWeight, long Lateness, int Moves) : IComparable<PlanScore>
{
    /// <inheritdoc/>
    public int CompareTo(PlanScore? other) => other is null
        ? 1
        : (UncoveredDays, UnplacedWeight, Lateness, Moves).CompareTo((other.UncoveredDays, other.UnplacedWeight, other.Lateness, other.Moves));
}

/// <summary>What a choice costs.</summary>
public static class PlanCosts
{
    /// <summary>How much more a day past the longest wait counts than a day within it (design; nothing published says).</summary>
    public const int PastLimitFactor = 3;

    /// <summary>Days from the preferred day to the session, days past the longest wait <see cref="PastLimitFactor"/> times again, by the weight of the urgency.</summary>
    public static long Lateness(PlanRequest request, LoanWindow window)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(window);
        var waited = Math.Max(0, window.SessionDay.DayNumber - request.Preferred.DayNumber);
        var past = Math.Max(0, window.SessionDay.DayNumber - request.LastDayInTime().DayNumber);
        return (long)request.Urgency.Weight * (waited + (PastLimitFactor * past));
    }

    /// <summary>Whether a promise is broken; a request without a window breaks it too.</summary>
    public static bool IsMove(PlanRequest request, LoanWindow? window)
    {
        ArgumentNullException.ThrowIfNull(request);
        return request.PromisedDay is { } promised && window?.SessionDay != promised;
    }
}
