using TeleHearing.Clinician.Web.Words;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Board;

/// <summary>Which kits a list shows.</summary>
public enum KitChoice
{
    All,
    Due,
    Held,
    Shelf,
    Leaving,
    Away,
    Turnaround,
    Workshop,
    Gone,
}

/// <summary>By what a list of kits is ordered.</summary>
public enum KitOrder
{
    Kit,
    Stage,
    Where,
    Holds,
    Next,
    Calibration,
}

/// <summary>Which kits are looked at, in which order: the same for board and timeline, and kept while the tab is open.</summary>
/// <param name="Find">Words that kit, contents, place, stage or hold must contain.</param>
/// <param name="Choice">Which kits.</param>
/// <param name="Order">By what.</param>
/// <param name="Downwards">Largest first.</param>
/// <param name="Page">Page, from 0.</param>
public sealed record KitListing(string Find = "", KitChoice Choice = KitChoice.All, KitOrder Order = KitOrder.Kit, bool Downwards = false, int Page = 0)
{
    /// <summary>Kits on a page: what is read without losing the place (design).</summary>
    public const int PageSize = 20;

    /// <summary>The kits that match, in order.</summary>
    public IReadOnlyList<KitBoardRow> Of(KitBoardView board)
    {
        var words = Find.Split(' ', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        var rows = board.Rows.Where(row => Chosen(row, board.Today) && words.All(word => Text(row).Contains(word, StringComparison.CurrentCultureIgnoreCase)));
        var ordered = Order switch
        {
            KitOrder.Stage => rows.OrderBy(row => row.Stage).ThenBy(row => row.Since ?? DateOnly.MaxValue),
            KitOrder.Where => rows.OrderBy(row => row.Where, StringComparer.OrdinalIgnoreCase),
            KitOrder.Holds => rows.OrderByDescending(row => row.Holds?.Count ?? 0),
            KitOrder.Next => rows.OrderBy(row => Soonest(row) ?? DateOnly.MaxValue),
            KitOrder.Calibration => rows.OrderBy(row => row.CalibratedUntil ?? DateOnly.MaxValue),
            _ => rows.OrderBy(row => row.KitId.Value, NaturalOrder.Instance),
        };
        var list = ordered.ThenBy(row => row.KitId.Value, NaturalOrder.Instance).ToList();
        if (Downwards)
        {
            list.Reverse();
        }

        return list;
    }

    /// <summary>Number of pages of so many kits, at least 1.</summary>
    public static int Pages(int kits) => Math.Max(1, (kits + PageSize - 1) / PageSize);

    /// <summary>The kits of the page shown; the last page when there are fewer.</summary>
    public IReadOnlyList<KitBoardRow> Shown(IReadOnlyList<KitBoardRow> matching) =>
        [.. matching.Skip(Math.Clamp(Page, 0, Pages(matching.Count) - 1) * PageSize).Take(PageSize)];

    /// <summary>The day of the first thing to do with a kit; waiting for others is no such thing.</summary>
    public static DateOnly? Soonest(KitBoardRow row) =>
        row.Tasks?.Where(task => task.Kind != KitTaskKind.Wait).Min(task => task.By) ?? row.Tasks?.Min(task => task.By);

    private bool Chosen(KitBoardRow row, DateOnly today) => (Choice, KitStageWords.Group(row.Stage)) switch
    {
        (KitChoice.All, _) => true,
        (KitChoice.Due, _) => row.Tasks?.Any(task => task.Kind != KitTaskKind.Wait && task.By <= today) == true,
        (KitChoice.Held, _) => row.Holds is { Count: > 0 },
        (KitChoice.Shelf, var group) => group == KitGroup.Shelf,
        (KitChoice.Leaving, var group) => group == KitGroup.Leaving,
        (KitChoice.Away, var group) => group is KitGroup.Out or KitGroup.AtSite or KitGroup.Back,
        (KitChoice.Turnaround, var group) => group == KitGroup.Turnaround,
        (KitChoice.Workshop, var group) => group == KitGroup.Workshop,
        (_, var group) => group == KitGroup.Gone,
    };

    private static string Text(KitBoardRow row) =>
        $"{row.KitId} {row.Label} {row.Where} {row.Loan?.Place} {KitStageWords.Name(row.Stage)} {string.Join(' ', row.Holds?.Select(hold => KitStageWords.Name(hold.Kind)) ?? [])}";

    /// <summary>Orders kit-2 before kit-10.</summary>
    private sealed class NaturalOrder : IComparer<string>
    {
        public static readonly NaturalOrder Instance = new();

        public int Compare(string? x, string? y)
        {
            var (a, b) = (x ?? string.Empty, y ?? string.Empty);
            var (i, j) = (0, 0);
            while (i < a.Length && j < b.Length)
            {
                var by = char.IsAsciiDigit(a[i]) && char.IsAsciiDigit(b[j])
                    ? Number(a, ref i).CompareTo(Number(b, ref j))
                    : char.ToUpperInvariant(a[i++]).CompareTo(char.ToUpperInvariant(b[j++]));
                if (by != 0)
                {
                    return by;
                }
            }

            return (a.Length - i).CompareTo(b.Length - j);
        }

        private static decimal Number(string text, ref int at)
        {
            var value = 0m;
            for (; at < text.Length && char.IsAsciiDigit(text[at]); at++)
            {
                // Longer digits than any number of a kit compare as equal and go by length.
                value = value > 1e20m ? value : (value * 10) + (text[at] - '0');
            }

            return value;
        }
    }
}
