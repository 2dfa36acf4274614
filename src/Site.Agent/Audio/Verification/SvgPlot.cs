using System.Globalization;
using System.Net;
using System.Text;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>One line in a plot.</summary>
internal sealed record PlotSeries(string Name, bool IsRight, IReadOnlyList<(double X, double Y)> Points);

/// <summary>A plot as SVG: circles for the right ear, crosses for the left.</summary>
/// <param name="Title">What is shown.</param>
/// <param name="XLabel">Horizontal axis with its unit.</param>
/// <param name="YLabel">Vertical axis with its unit.</param>
/// <param name="FrequencyAxis">Whether the horizontal axis is a frequency, in octaves.</param>
/// <param name="Limits">Heights of limits.</param>
/// <param name="Series">The lines; what is silent has a height of minus infinity and is not drawn.</param>
internal sealed record SvgPlot(string Title, string XLabel, string YLabel, bool FrequencyAxis, IReadOnlyList<double> Limits, IReadOnlyList<PlotSeries> Series)
{
    private const double Width = 640;
    private const double Height = 320;
    private const double Left = 78;
    private const double Bottom = 54;
    private const double Top = 16;
    private const double Right = 70;
    private const double MarkPx = 4;
    private static readonly double[] _octaves = [125, 250, 500, 1000, 2000, 4000, 8000, 16_000];

    /// <summary>The drawing, with its title over it.</summary>
    public string Draw()
    {
        var points = Series.SelectMany(series => series.Points).Where(point => double.IsFinite(point.Y)).ToList();
        if (points.Count == 0)
        {
            var silent = Series.Any(series => series.Points.Count > 0);
            return $"<figure><figcaption>{Text(Title)}</figcaption><p class=\"none\">{(silent ? "Nothing to draw: silent, or no more than the rounding of the recording, everywhere." : "Nothing to draw: nothing was found in the recording.")}</p></figure>";
        }

        var (lowX, highX) = FrequencyAxis ? (_octaves[0] / 1.2, _octaves[^1] * 1.2) : (points.Min(point => point.X) - 2, points.Max(point => point.X) + 2);
        var heights = points.Select(point => point.Y).Concat(Limits).ToList();
        var step = Step(Math.Max(heights.Max() - heights.Min(), 1e-3), 5);
        var (lowY, highY) = ((Math.Floor((heights.Min() / step) - 0.2)) * step, (Math.Ceiling((heights.Max() / step) + 0.2)) * step);
        var svg = new StringBuilder();
        svg.Append(Invariant($"<figure><figcaption>{Text(Title)}</figcaption><svg viewBox=\"0 0 {Width} {Height}\" role=\"img\" aria-label=\"{Text(Title)}: {Text(YLabel)} over {Text(XLabel)}\">"));
        var xStep = Step(highX - lowX, 10);
        foreach (var x in FrequencyAxis ? _octaves : Ticks(lowX, highX, xStep))
        {
            svg.Append(Invariant($"<line x1=\"{X(x):0.0}\" x2=\"{X(x):0.0}\" y1=\"{Top}\" y2=\"{Height - Bottom}\" class=\"grid\"/><text x=\"{X(x):0.0}\" y=\"{Height - Bottom + 18}\" text-anchor=\"middle\">{x:0.##}</text>"));
        }

        foreach (var y in Ticks(lowY, highY, step))
        {
            svg.Append(Invariant($"<line x1=\"{Left}\" x2=\"{Width - Right}\" y1=\"{Y(y):0.0}\" y2=\"{Y(y):0.0}\" class=\"grid\"/><text x=\"{Left - 8}\" y=\"{Y(y) + 4:0.0}\" text-anchor=\"end\">{Math.Round(y, 6) + 0.0:0.####}</text>"));
        }

        svg.Append(Invariant($"<rect x=\"{Left}\" y=\"{Top}\" width=\"{Width - Left - Right}\" height=\"{Height - Top - Bottom}\" class=\"frame\"/>"));
        foreach (var limit in Limits)
        {
            svg.Append(Invariant($"<line x1=\"{Left}\" x2=\"{Width - Right}\" y1=\"{Y(limit):0.0}\" y2=\"{Y(limit):0.0}\" class=\"limit\"/><text x=\"{Width - Right + 6}\" y=\"{Y(limit) + 4:0.0}\" class=\"limit-text\">limit {limit:0.##}</text>"));
        }

        foreach (var series in Series)
        {
            var placed = series.Points.Where(point => double.IsFinite(point.Y)).Select(point => (X: X(point.X), Y: Y(point.Y))).ToList();
            svg.Append(Invariant($"<g class=\"{(series.IsRight ? "right" : "left")}\"><title>{Text(series.Name)}</title><polyline points=\"{string.Join(' ', placed.Select(point => Invariant($"{point.X:0.0},{point.Y:0.0}")))}\"/>"));
            foreach (var (x, y) in placed)
            {
                svg.Append(series.IsRight
                    ? Invariant($"<circle cx=\"{x:0.0}\" cy=\"{y:0.0}\" r=\"{MarkPx}\"/>")
                    : Invariant($"<path d=\"M{x - MarkPx:0.0} {y - MarkPx:0.0}l{2 * MarkPx} {2 * MarkPx}m0 {-2 * MarkPx}l{-2 * MarkPx} {2 * MarkPx}\"/>"));
            }

            svg.Append("</g>");
        }

        svg.Append(Invariant($"<text x=\"{(Left + Width - Right) / 2}\" y=\"{Height - 10}\" text-anchor=\"middle\" class=\"axis\">{Text(XLabel)}</text>"));
        svg.Append(Invariant($"<text x=\"16\" y=\"{(Top + Height - Bottom) / 2}\" text-anchor=\"middle\" class=\"axis\" transform=\"rotate(-90 16 {(Top + Height - Bottom) / 2})\">{Text(YLabel)}</text></svg></figure>"));
        return svg.ToString();

        double X(double x) => Left + ((Width - Left - Right) * (FrequencyAxis ? Math.Log(x / lowX) / Math.Log(highX / lowX) : (x - lowX) / (highX - lowX)));
        double Y(double y) => Height - Bottom - ((Height - Top - Bottom) * (y - lowY) / (highY - lowY));
    }

    /// <summary>A round step that parts a span into about so many.</summary>
    private static double Step(double span, int parts)
    {
        var power = Math.Pow(10, Math.Floor(Math.Log10(span / parts)));
        return power * (span / parts / power) switch { <= 1 => 1, <= 2 => 2, <= 5 => 5, _ => 10 };
    }

    private static IEnumerable<double> Ticks(double low, double high, double step)
    {
        for (var number = Math.Ceiling(low / step); number * step <= high + (step / 1000); number++)
        {
            yield return number * step;
        }
    }

    private static string Text(string text) => WebUtility.HtmlEncode(text);

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
