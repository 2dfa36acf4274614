using System.Globalization;
using System.Net;
using System.Text;

namespace TeleHearing.Site.Agent.Audio.Verification;

/// <summary>One line in a plot.</summary>
internal sealed record PlotSeries(string Name, string Colour, IReadOnlyList<(double X, double Y)> Points);

/// <summary>A plot as SVG.</summary>
/// <param name="Title">What is shown.</param>
/// <param name="XLabel">Horizontal axis with its unit.</param>
/// <param name="YLabel">Vertical axis with its unit.</param>
/// <param name="LogarithmicX">Whether the horizontal axis is logarithmic.</param>
/// <param name="Limits">Heights of limits.</param>
/// <param name="Series">The lines.</param>
internal sealed record SvgPlot(string Title, string XLabel, string YLabel, bool LogarithmicX, IReadOnlyList<double> Limits, IReadOnlyList<PlotSeries> Series)
{
    private const double Width = 640;
    private const double Height = 300;
    private const double Left = 84;

    /// <summary>Labels nearer than this would lie over each other.</summary>
    private const double LabelRoom = 40;
    private const double Bottom = 50;
    private const double Top = 34;
    private const double Right = 20;

    /// <summary>The drawing.</summary>
    public string Draw()
    {
        var points = Series.SelectMany(series => series.Points).Where(point => double.IsFinite(point.Y)).ToList();
        if (points.Count == 0)
        {
            return $"<p>{WebUtility.HtmlEncode(Title)}: nothing to draw, all of it is exactly silent or was not played.</p>";
        }

        var (lowX, highX) = (points.Min(point => point.X), points.Max(point => point.X));
        var heights = points.Select(point => point.Y).Concat(Limits).ToList();
        var (lowY, highY) = (heights.Min(), heights.Max());
        var room = Math.Max((highY - lowY) * 0.08, 1e-9);
        (lowY, highY) = (lowY - room, highY + room);
        var svg = new StringBuilder();
        svg.Append(Invariant($"<svg viewBox=\"0 0 {Width} {Height}\" role=\"img\" aria-label=\"{WebUtility.HtmlEncode(Title)}\"><text x=\"{Left}\" y=\"20\" class=\"title\">{WebUtility.HtmlEncode(Title)}</text>"));
        svg.Append(Invariant($"<rect x=\"{Left}\" y=\"{Top}\" width=\"{Width - Left - Right}\" height=\"{Height - Top - Bottom}\" class=\"frame\"/>"));
        var labels = LogarithmicX ? points.Select(point => point.X).Distinct().Order() : Enumerable.Range(0, 6).Select(step => lowX + ((highX - lowX) * step / 5));
        var last = double.NegativeInfinity;
        foreach (var x in labels.Where(x => X(x) >= LabelRoom))
        {
            if (X(x) - last >= LabelRoom)
            {
                last = X(x);
                svg.Append(Invariant($"<text x=\"{last:0.0}\" y=\"{Height - Bottom + 16}\" text-anchor=\"middle\">{x:0.#}</text>"));
            }
        }

        foreach (var y in Enumerable.Range(0, 5).Select(step => lowY + ((highY - lowY) * step / 4)))
        {
            svg.Append(Invariant($"<text x=\"{Left - 6}\" y=\"{Y(y) + 4:0.0}\" text-anchor=\"end\">{y:0.###}</text>"));
        }

        foreach (var limit in Limits)
        {
            svg.Append(Invariant($"<line x1=\"{Left}\" x2=\"{Width - Right}\" y1=\"{Y(limit):0.0}\" y2=\"{Y(limit):0.0}\" class=\"limit\"/>"));
        }

        foreach (var series in Series)
        {
            var line = string.Join(' ', series.Points.Where(point => double.IsFinite(point.Y)).Select(point => Invariant($"{X(point.X):0.0},{Y(point.Y):0.0}")));
            svg.Append(Invariant($"<polyline points=\"{line}\" stroke=\"{series.Colour}\"><title>{WebUtility.HtmlEncode(series.Name)}</title></polyline>"));
        }

        svg.Append(Invariant($"<text x=\"{(Left + Width - Right) / 2}\" y=\"{Height - 10}\" text-anchor=\"middle\">{WebUtility.HtmlEncode(XLabel)}</text>"));
        svg.Append(Invariant($"<text x=\"12\" y=\"{Height / 2}\" text-anchor=\"middle\" transform=\"rotate(-90 12 {Height / 2})\">{WebUtility.HtmlEncode(YLabel)}</text></svg>"));
        return svg.ToString();

        double X(double x) => Left + ((Width - Left - Right) * (highX > lowX ? LogarithmicX ? Math.Log(x / lowX) / Math.Log(highX / lowX) : (x - lowX) / (highX - lowX) : 0.5));
        double Y(double y) => Height - Bottom - ((Height - Top - Bottom) * (y - lowY) / (highY - lowY));
    }

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
