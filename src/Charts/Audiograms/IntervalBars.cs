using TeleHearing.Audiology;

namespace TeleHearing.Charts;

/// <summary>The bar from the lower to the upper end of a credible interval, with a cap at each end that lies on the chart; it leaves the symbol free.</summary>
internal static class IntervalBars
{
    private const double Width = 1.6;
    private const double CapHalf = 4;

    /// <summary>So that the bars of two ears at one level do not cover each other.</summary>
    private const double Aside = 3.5;

    /// <summary>The bar of a point at a level, if it has an interval.</summary>
    public static SvgElement? Of(AudiogramPoint point, double level)
    {
        if (point.Interval is not { IsUsable: true } interval)
        {
            return null;
        }

        var form = SymbolForm.Of(point.Ear, point.Route, point.Masked);
        var colour = SymbolForm.ColourOf(point.Ear, point.Route, point.Masked);
        var x = AudiogramSymbols.PlaceOf(point) + (form.Beside == 0 ? Aside * form.Lean : 0);
        var symbol = AudiogramScale.Y(level);
        return SvgElement.Group(
            $"interval {(point.Ear == Ear.Right ? "right" : "left")}",
            [.. End(x, symbol - form.Reach, interval.LowerDbHl, -1, colour), .. End(x, symbol + form.Reach, interval.UpperDbHl, 1, colour)],
            $"interval-{AudiogramSymbols.Identity(point)}");
    }

    /// <summary>A bar without a symbol, for the legend.</summary>
    public static IEnumerable<SvgElement> Sample(double x, double y, string colour) =>
    [
        SvgElement.Line(x, y - 9, x, y + 9, colour, Width),
        SvgElement.Line(x - CapHalf, y - 9, x + CapHalf, y - 9, colour, Width),
        SvgElement.Line(x - CapHalf, y + 9, x + CapHalf, y + 9, colour, Width),
    ];

    private static IEnumerable<SvgElement> End(double x, double edge, double endDbHl, int down, string colour)
    {
        var end = AudiogramScale.Y(endDbHl);
        if ((end - edge) * down > 0)
        {
            yield return SvgElement.Line(x, edge, x, end, colour, Width);
        }

        // An end beyond the chart has no cap: the bar runs on.
        if (endDbHl is >= AudiogramScale.TopDbHl and <= AudiogramScale.BottomDbHl)
        {
            yield return SvgElement.Line(x - CapHalf, end, x + CapHalf, end, colour, Width);
        }
    }
}
