using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Charts;

/// <summary>Lays a known-ear history out: time from left to right, shift from the baseline upwards, the two limits as lines on either side of zero. An ear is a colour, a shape and a letter together.</summary>
public static class KnownEarLayout
{
    private const double Left = 64;
    private const double Top = 22;
    private const double PlotWidth = 560;
    private const double PlotHeight = 240;
    private const double Mark = 6.5;

    /// <summary>Dates written under the plot at most.</summary>
    private const int MostDates = 6;

    /// <summary>The whole drawing.</summary>
    public static SvgElement Draw(KnownEarHistory history)
    {
        var points = history.Points.OrderBy(point => point.At).ToList();
        var reach = Math.Max(20, Math.Ceiling(points.Select(point => Math.Abs(point.ShiftDb)).DefaultIfEmpty(0).Max() / 5) * 5);
        double Y(double shift) => Top + ((reach - shift) / (2 * reach) * PlotHeight);
        double X(DateTimeOffset at) => Left + 24 + (Share(points, at) * (PlotWidth - 48));
        var (width, height) = (Left + PlotWidth + 16, Top + PlotHeight + 84);
        var (titleId, descriptionId) = ($"{history.IdPrefix}-title", $"{history.IdPrefix}-desc");
        List<SvgElement> parts =
        [
            SvgElement.Make("title", ("id", titleId)) with { Text = history.Title },
            SvgElement.Make("desc", ("id", descriptionId)) with { Text = KnownEarText.Describe(history) },
            SvgElement.Make("rect", ("width", width), ("height", height), ("fill", Ink.Paper)),
            SvgElement.Group("grid", Grid(reach, Y)),
            SvgElement.Group("limits", Limits(Y)),
            SvgElement.Group("dates", Dates(points, X)),
            .. new[] { Ear.Right, Ear.Left }.Select(ear => Series(ear, [.. points.Where(point => point.Ear == ear)], X, Y)),
            SvgElement.Group("legend", Legend(Top + PlotHeight + 68)),
        ];
        var svg = SvgElement.Make(
            "svg",
            ("viewBox", FormattableString.Invariant($"0 0 {width:0.##} {height:0.##}")),
            ("width", width),
            ("height", height),
            ("role", "img"),
            ("aria-labelledby", $"{titleId} {descriptionId}"),
            ("font-family", Ink.Font));
        return svg with { Children = parts };
    }

    /// <summary>Where a time lies between the first and the last, 0 to 1; in the middle when there is only one.</summary>
    private static double Share(List<KnownEarPoint> points, DateTimeOffset at)
    {
        var whole = (points[^1].At - points[0].At).TotalSeconds;
        return whole <= 0 ? 0.5 : (at - points[0].At).TotalSeconds / whole;
    }

    private static IEnumerable<SvgElement> Grid(double reach, Func<double, double> y)
    {
        for (var shift = -reach; shift <= reach; shift += 5)
        {
            yield return SvgElement.Line(Left, y(shift), Left + PlotWidth, y(shift), shift == 0 ? Ink.Frame : Ink.Grid, shift == 0 ? 1.5 : 1);
            if (shift % 10 == 0 || Math.Abs(shift) == KnownEarRules.ExhaustiveShiftDb)
            {
                yield return SvgElement.Label(Left - 8, y(shift) + 5, KnownEarText.Db(shift), 14, "end");
            }
        }

        var middle = Top + (PlotHeight / 2);
        var word = SvgElement.Label(14, middle, "shift from baseline, dB", 14, "middle", Ink.Quiet);
        yield return word with { Attributes = [.. word.Attributes, KeyValuePair.Create("transform", string.Create(CultureInfo.InvariantCulture, $"rotate(-90 14 {middle})"))] };
    }

    private static IEnumerable<SvgElement> Limits(Func<double, double> y)
    {
        foreach (var (limit, dashes, word) in new[] { (KnownEarRules.CalibrationShiftDb, "7 5", "calibration from here"), (KnownEarRules.ExhaustiveShiftDb, (string?)null, "exhaustive calibration from here") })
        {
            foreach (var side in new[] { 1, -1 })
            {
                var line = SvgElement.Line(Left, y(side * limit), Left + PlotWidth, y(side * limit), Ink.Limit, 2, dashes);
                yield return line with { Attributes = [.. line.Attributes, KeyValuePair.Create("class", "limit")] };
            }

            yield return SvgElement.Label(Left + 6, y(limit) - 5, word, 12);
        }
    }

    private static IEnumerable<SvgElement> Dates(List<KnownEarPoint> points, Func<DateTimeOffset, double> x)
    {
        var days = points.Select(point => point.At).Distinct().ToList();
        var step = Math.Max(1, (int)Math.Ceiling(days.Count / (double)MostDates));
        var last = double.NegativeInfinity;
        for (var index = 0; index < days.Count; index += step)
        {
            // Checks of neighbouring days would write over each other.
            if (x(days[index]) - last >= 86)
            {
                last = x(days[index]);
                yield return SvgElement.Line(last, Top + PlotHeight, last, Top + PlotHeight + 6, Ink.Frame, 1);
                yield return SvgElement.Label(last, Top + PlotHeight + 24, KnownEarText.Day(days[index]), 13, "middle");
            }
        }
    }

    private static SvgElement Series(Ear ear, List<KnownEarPoint> points, Func<DateTimeOffset, double> x, Func<double, double> y)
    {
        var colour = Ink.Of(ear);
        var parts = new List<SvgElement>();
        for (var index = 1; index < points.Count; index++)
        {
            parts.Add(SvgElement.Line(x(points[index - 1].At), y(points[index - 1].ShiftDb), x(points[index].At), y(points[index].ShiftDb), colour, 1.5, ear == Ear.Left ? "5 4" : null));
        }

        parts.AddRange(points.Select(point => Symbol(ear, x(point.At), y(point.ShiftDb), Words(point))));
        return SvgElement.Group(ear == Ear.Right ? "series right" : "series left", parts);
    }

    private static SvgElement Symbol(Ear ear, double x, double y, string words)
    {
        var colour = Ink.Of(ear);
        SvgElement[] shape = ear == Ear.Right
            ? [SvgElement.Make("circle", ("cx", x), ("cy", y), ("r", Mark), ("fill", Ink.Paper), ("stroke", colour), ("stroke-width", 2.5))]
            : [SvgElement.Line(x - Mark, y - Mark, x + Mark, y + Mark, colour, 2.5), SvgElement.Line(x - Mark, y + Mark, x + Mark, y - Mark, colour, 2.5)];
        return SvgElement.Group("mark", [SvgElement.Make("title") with { Text = words }, .. shape]);
    }

    private static IEnumerable<SvgElement> Legend(double y)
    {
        yield return Symbol(Ear.Right, Left + 8, y - 5, "Right");
        yield return SvgElement.Label(Left + 24, y, "R, right ear", 14);
        yield return Symbol(Ear.Left, Left + 138, y - 5, "Left");
        yield return SvgElement.Label(Left + 154, y, "L, left ear", 14);
        yield return SvgElement.Label(Left + 260, y, "above zero: more level was needed", 14, colour: Ink.Quiet);
    }

    private static string Words(KnownEarPoint point) => string.Create(
        CultureInfo.InvariantCulture,
        $"{KnownEarText.Day(point.At)}, {point.PersonCode}, {OutcomeText.Name(point.Ear).ToLowerInvariant()} ear at {point.FrequencyHz} Hz: {KnownEarText.Db(point.ShiftDb)} dB, {KnownEarText.Meaning(point.ShiftDb)}");
}
