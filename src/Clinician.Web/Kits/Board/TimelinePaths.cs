using System.Globalization;
using System.Text;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Kits.Board;

/// <summary>Draws all stretches of one kind as one path, so that a year of a fleet is a handful of elements and not thousands. Pure.</summary>
public static class TimelinePaths
{
    /// <summary>Height of a kit's line, px: a target of at least 24 px (WCAG 2.2, 2.5.8).</summary>
    public const int RowHeight = 26;

    private const int BarTop = 6;
    private const int BarHeight = 15;
    private const int ThinHeight = 4;

    /// <summary>Kinds in the order they are drawn, later ones on top.</summary>
    public static IReadOnlyList<KitSpanKind> Order { get; } =
    [
        KitSpanKind.Promised, KitSpanKind.PromisedTurnaround, KitSpanKind.Packed, KitSpanKind.Out, KitSpanKind.AtSite, KitSpanKind.Back, KitSpanKind.Turnaround,
        KitSpanKind.Calibration, KitSpanKind.Repair, KitSpanKind.Gone, KitSpanKind.Overdue, KitSpanKind.Held, KitSpanKind.CalibrationEnds, KitSpanKind.Session,
    ];

    /// <summary>The path of a kind; empty when there is nothing of it.</summary>
    public static string Of(KitSpanKind kind, IReadOnlyList<KitTimelineRow> rows, TimelineWindow window)
    {
        var path = new StringBuilder();
        for (var i = 0; i < rows.Count; i++)
        {
            foreach (var span in rows[i].Spans)
            {
                if (span.Kind == kind)
                {
                    Append(path, kind, window.X(span.FirstDay), i * RowHeight, span.Days * window.DayWidth, window.DayWidth);
                }
            }
        }

        return path.ToString();
    }

    private static void Append(StringBuilder path, KitSpanKind kind, double x, double top, double width, double day)
    {
        var inv = CultureInfo.InvariantCulture;
        var middle = x + (day / 2);
        switch (kind)
        {
            case KitSpanKind.Session:
                path.Append(inv, $"M{middle:0.#} {top + BarTop + 2}l4.5 5.5l-4.5 5.5l-4.5-5.5z");
                break;
            case KitSpanKind.CalibrationEnds:
                path.Append(inv, $"M{x + day:0.#} {top + 1}v{RowHeight - 2}h-2.5v-{RowHeight - 8}h-5l2.5-3l-2.5-3z");
                break;
            case KitSpanKind.Held:
                path.Append(inv, $"M{x:0.#} {top + 1}h{width:0.#}v{ThinHeight}h-{width:0.#}z");
                break;
            case KitSpanKind.Overdue:
                path.Append(inv, $"M{x:0.#} {top + RowHeight - ThinHeight - 1}h{width:0.#}v{ThinHeight}h-{width:0.#}z");
                break;
            default:
                path.Append(inv, $"M{x:0.#} {top + BarTop}h{width:0.#}v{BarHeight}h-{width:0.#}z");
                break;
        }
    }
}
