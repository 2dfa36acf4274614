using TeleHearing.Logistics.Planning;

namespace TeleHearing.Logistics.Tests.Planning;

/// <summary>Problems small enough to be seen through.</summary>
internal static class SmallPlans
{
    /// <summary>A Monday.</summary>
    public static DateOnly Start { get; } = new(2026, 3, 2);

    public static UrgencyClass Routine { get; } = new("routine", 30, 1);

    public static UrgencyClass Urgent { get; } = new("urgent", 7, 9);

    public static DateOnly Day(int day) => Start.AddDays(day);

    public static IReadOnlySet<string> Set(params string[] words) => new HashSet<string>(words, StringComparer.Ordinal);

    public static PlanKit Kit(string id, int? lastDay = 1000, params string[] can) => new(id, Set(can.Length == 0 ? ["air"] : can), Start, lastDay is { } day ? Day(day) : null);

    /// <summary>A loan of five days around its session: two before, the session, two after.</summary>
    public static LoanWindow Window(int session) => new(Day(session), Day(session - 2), Day(session + 3));

    public static PlanRequest Request(string id, int asked, UrgencyClass urgency, params int[] sessions) =>
        new(id, Set("air"), urgency, Day(asked), Day(sessions.Length == 0 ? asked : sessions[0]), [.. sessions.Select(Window)]);

    public static PlanProblem Problem(IReadOnlyList<PlanKit> kits, params PlanRequest[] requests) => new()
    {
        From = Start,
        Until = Day(60),
        Kits = kits,
        Requests = requests,
        Calibration = new CalibrationTerms(7, 30, 1, [.. Enumerable.Range(0, 9).Select(week => Day(7 * week))]),
    };
}
