using System.Globalization;

namespace TeleHearing.Charts;

/// <summary>Lays fleet sizes out: a bar for each number of kits, the wished share as a dashed line across.</summary>
/// <remarks>What a colour says, a shape and a word say too: a size over the wish is hollow, one that keeps it is filled and carries a tick; the smallest that does and today's are named.</remarks>
public static class FleetSizesLayout
{
    private const double Left = 62;
    private const double Top = 34;
    private const double PlotHeight = 250;
    private const double PlotWidth = 720;
    private const double WidestBar = 58;
    private const double Floor = Top + PlotHeight;
    private const double Bottom = 88;

    /// <summary>Bars up to which each carries its share as a number: with more the numbers would touch.</summary>
    private const int MostNumbered = 16;

    /// <summary>The whole drawing.</summary>
    public static SvgElement Draw(FleetSizes sizes)
    {
        var high = Highest(sizes);
        double Y(double share) => Floor - (Math.Clamp(share, 0, high) / high * PlotHeight);
        var (width, height) = (Left + PlotWidth + 14, Floor + Bottom);
        var (titleId, descriptionId) = ($"{sizes.IdPrefix}-title", $"{sizes.IdPrefix}-desc");
        var step = PlotWidth / Math.Max(1, sizes.Points.Count);
        List<SvgElement> parts =
        [
            SvgElement.Make("title", ("id", titleId)) with { Text = sizes.Title },
            SvgElement.Make("desc", ("id", descriptionId)) with { Text = FleetSizesText.Describe(sizes) },
            SvgElement.Make("rect", ("width", width), ("height", height), ("fill", Ink.Paper)),
            SvgElement.Group("grid", Grid(high, Y)),
            .. sizes.Points.Select((point, index) => Bar(sizes, point, Left + (index * step), step, Y) with { Key = string.Create(CultureInfo.InvariantCulture, $"size-{point.Kits}") }),
            SvgElement.Group("target", Target(sizes, Y(sizes.Target))),
            SvgElement.Group("numbers", Numbers(sizes, step, Y)),
            SvgElement.Label(Left + (PlotWidth / 2), height - 8, "kits at work", 15, "middle", Ink.Quiet),
        ];
        var svg = SvgElement.Make(
            "svg",
            ("viewBox", string.Create(CultureInfo.InvariantCulture, $"0 0 {width:0.##} {height:0.##}")),
            ("width", width),
            ("height", height),
            ("role", "img"),
            ("aria-labelledby", $"{titleId} {descriptionId}"),
            ("font-family", Ink.Font));
        return svg with { Children = parts };
    }

    // Up to the next tenth over the highest bar and the wish, so that the line of the wish is never at the edge.
    private static double Highest(FleetSizes sizes) =>
        Math.Min(1, (Math.Floor(Math.Max(sizes.Target, sizes.Points.Select(point => point.Refused).DefaultIfEmpty(0).Max()) * 10) + 1) / 10);

    private static IEnumerable<SvgElement> Grid(double high, Func<double, double> y)
    {
        var step = high <= 0.1 ? 0.02 : high <= 0.5 ? 0.1 : 0.2;
        for (var index = 0; index * step <= high + 1e-9; index++)
        {
            yield return SvgElement.Line(Left, y(index * step), Left + PlotWidth, y(index * step), index == 0 ? Ink.Frame : Ink.Grid, 1);
            yield return SvgElement.Label(Left - 8, y(index * step) + 5, string.Create(CultureInfo.InvariantCulture, $"{index * step * 100:0} %"), 14, "end");
        }

        yield return SvgElement.Label(4, 16, "share of loans that find no kit", 14, "start", Ink.Quiet);
    }

    private static SvgElement Bar(FleetSizes sizes, FleetSizePoint point, double x, double step, Func<double, double> y)
    {
        var (keeps, today) = (point.KeepsTarget, point.Kits == sizes.TodayKits);
        var (middle, top) = (x + (step / 2), y(point.Refused));
        var wide = Math.Min(WidestBar, step * 0.68);
        var bar = SvgElement.Make(
            "rect",
            ("class", keeps ? "bar keeps" : "bar over"),
            ("x", middle - (wide / 2)),
            ("y", top),
            ("width", wide),
            ("height", Math.Max(0, Floor - top)),
            ("fill", keeps ? Ink.Bar : Ink.Paper),
            ("stroke", keeps ? Ink.Bar : Ink.BarOver),
            ("stroke-width", 2));
        List<SvgElement> parts = [SvgElement.Make("title") with { Text = Words(point, today) }, bar];
        if (sizes.Points.Count <= MostNumbered || today || point == sizes.Smallest || point.Kits % 5 == 0)
        {
            parts.Add(SvgElement.Label(middle, Floor + 19, string.Create(CultureInfo.InvariantCulture, $"{(keeps ? "✓ " : string.Empty)}{point.Kits}"), 15, "middle", bold: today || point == sizes.Smallest));
        }

        // Two lines, since the smallest and today's may stand side by side.
        if (point == sizes.Smallest)
        {
            parts.Add(SvgElement.Label(middle, Floor + 38, "▲ enough", 14, "middle", Ink.PlateauEdge, bold: true));
        }

        if (today)
        {
            parts.Add(SvgElement.Label(middle, Floor + (point == sizes.Smallest ? 56 : 38), "▲ today", 14, "middle", Ink.Left, bold: true));
            parts.Add(SvgElement.Make("rect", ("class", "today"), ("x", middle - (wide / 2) - 4), ("y", Math.Min(top, Floor - 4) - 4), ("width", wide + 8), ("height", Math.Max(0, Floor - top) + 8), ("fill", "none"), ("stroke", Ink.Left), ("stroke-width", 2.5)));
        }

        return SvgElement.Group(keeps ? "size keeps" : "size over", parts);
    }

    // Last, and on paper of their own, so that the line of the wish strikes none of them through.
    private static IEnumerable<SvgElement> Numbers(FleetSizes sizes, double step, Func<double, double> y) => sizes.Points.Count > MostNumbered
        ? []
        : sizes.Points.Select((point, index) => SvgElement.Label(Left + ((index + 0.5) * step), y(point.Refused) - (point.Kits == sizes.TodayKits ? 9 : 6), FleetSizesText.Percent(point.Refused), 14, "middle")
            .With("paint-order", "stroke").With("stroke", Ink.Paper).With("stroke-width", 5));

    private static IEnumerable<SvgElement> Target(FleetSizes sizes, double y)
    {
        yield return SvgElement.Line(Left, y, Left + PlotWidth, y, Ink.Limit, 2, "7 5").With("class", "target");
        yield return SvgElement.Label(Left + PlotWidth, Math.Max(Top, y) - 22, $"wished: at most {FleetSizesText.Percent(sizes.Target)}", 14, "end", bold: true)
            .With("paint-order", "stroke").With("stroke", Ink.Paper).With("stroke-width", 4);
    }

    private static string Words(FleetSizePoint point, bool today) => string.Create(
        CultureInfo.InvariantCulture,
        $"{point.Kits} kits at work{(today ? ", as today" : string.Empty)}: {FleetSizesText.Percent(point.Refused)} of loans find none, {(point.KeepsTarget ? "within the wish" : "over the wish")}");
}
