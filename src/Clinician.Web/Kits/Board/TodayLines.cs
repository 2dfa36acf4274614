using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Board;

/// <summary>A line of today's list.</summary>
public sealed record WorkLine(KitBoardRow Kit, KitTask Task);

/// <summary>Today's list out of the kit board: what is due, and what comes in the next days. Pure.</summary>
/// <param name="Now">Due today or earlier, by kind of work, then by day.</param>
/// <param name="Soon">Due in the next days, by day.</param>
public sealed record TodayLines(IReadOnlyList<WorkLine> Now, IReadOnlyList<WorkLine> Soon)
{
    /// <summary>How many days ahead are shown (design).</summary>
    public const int Ahead = 7;

    public static TodayLines Of(KitBoardView board)
    {
        var lines = board.Rows
            .SelectMany(row => (row.Tasks ?? []).Where(task => task is { By: not null, Kind: not KitTaskKind.Wait }).Select(task => new WorkLine(row, task)))
            .OrderBy(line => line.Task.By)
            .ThenBy(line => line.Kit.KitId.Value, StringComparer.Ordinal)
            .ToList();
        return new TodayLines(
            [.. lines.Where(line => line.Task.By <= board.Today).OrderBy(line => line.Task.Kind)],
            [.. lines.Where(line => line.Task.By > board.Today && line.Task.By <= board.Today.AddDays(Ahead))]);
    }
}
