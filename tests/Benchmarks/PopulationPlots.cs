using System.Globalization;
using System.Text;
using TeleHearing.Audiology.Simulation.Population;

namespace TeleHearing.Benchmarks;

/// <summary>The results as drawings.</summary>
internal static class PopulationPlots
{
    private const int Left = 230;
    private const int BarWidth = 520;
    private const int RowHeight = 26;
    private const string Ink = "#1f3a5f";
    private const string Pale = "#c9d6e6";

    /// <summary>Share of unmasked thresholds by their error, one panel a method, with a normal curve of the published spread of automated against manual tests.</summary>
    public static string Errors(IReadOnlyList<PopulationResult> results)
    {
        const int panel = 190;
        const double publishedSdDb = 6.1;
        var width = 640;
        var svg = Begin(width, (panel * results.Count) + 48, "Share of thresholds by error");
        for (var index = 0; index < results.Count; index++)
        {
            var sum = results[index].Of(MannerKind.Cooperative).All.Air;
            var bottom = (panel * (index + 1)) - 20;
            var height = panel - 60;
            Text(svg, 10, bottom - height - 12, results[index].Method.Name, bold: true);
            var step = (width - 40.0) / sum.Histogram.Count;
            for (var bin = 0; bin < sum.Histogram.Count; bin++)
            {
                var error = (5 * bin) - ErrorSum.HistogramReachDb;
                var share = (double)sum.Histogram[bin] / sum.Count;
                var x = 20 + (bin * step);
                var published = 5 * Math.Exp(-error * error / (2 * publishedSdDb * publishedSdDb)) / (publishedSdDb * Math.Sqrt(Math.Tau));
                Rectangle(svg, x + 2, bottom - (height * published), step - 4, height * published, Pale);
                Rectangle(svg, x + (step / 4), bottom - (height * share), step / 2, height * share, Ink);
                Text(svg, x + (step / 2), bottom + 15, error.ToString("+0;-0;0", CultureInfo.InvariantCulture), anchor: "middle");
                if (share >= 0.001)
                {
                    Text(svg, x + (step / 2), bottom - (height * Math.Max(share, published)) - 4, string.Create(CultureInfo.InvariantCulture, $"{100 * share:0.0} %"), anchor: "middle");
                }
            }
        }

        Text(svg, 10, (panel * results.Count) + 18, "Error in dB against the grid. Dark: simulated. Pale: a spread of 6.1 dB,");
        Text(svg, 10, (panel * results.Count) + 36, "as between automated and manual tests of people (Mahomed 2013).");
        return svg.Append("</svg>").ToString();
    }

    /// <summary>Minutes and presentations for one ear, by method.</summary>
    public static string Lengths(IReadOnlyList<PopulationResult> results)
    {
        var rows = results.Select(result => (result.Method.Name, Row: PopulationRow.Of(string.Empty, result.Of(MannerKind.Cooperative).All))).ToList();
        var longest = rows.Max(row => row.Row.AirMinutes);
        var svg = Begin(Left + BarWidth + 220, (RowHeight * rows.Count) + 20, "Minutes for one ear by method");
        for (var index = 0; index < rows.Count; index++)
        {
            var y = 10 + (RowHeight * index);
            var length = BarWidth * rows[index].Row.AirMinutes / longest;
            Text(svg, Left - 10, y + 16, rows[index].Name, anchor: "end");
            Rectangle(svg, Left, y + 3, length, RowHeight - 8, Ink);
            Text(svg, Left + length + 8, y + 16, string.Create(CultureInfo.InvariantCulture, $"{rows[index].Row.AirMinutes:0.0} min, {rows[index].Row.AirPresentations:0} presentations"));
        }

        return svg.Append("</svg>").ToString();
    }

    private static StringBuilder Begin(int width, int height, string title) => new StringBuilder().Append(
        CultureInfo.InvariantCulture,
        $"<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" height=\"{height}\" font-family=\"sans-serif\" font-size=\"12\" role=\"img\"><title>{title}</title>");

    private static void Rectangle(StringBuilder svg, double x, double y, double width, double height, string fill) => svg.Append(
        CultureInfo.InvariantCulture, $"<rect x=\"{x:0.#}\" y=\"{y:0.#}\" width=\"{width:0.#}\" height=\"{height:0.#}\" fill=\"{fill}\"/>");

    private static void Text(StringBuilder svg, double x, double y, string text, string anchor = "start", bool bold = false) => svg.Append(
        CultureInfo.InvariantCulture, $"<text x=\"{x:0.#}\" y=\"{y:0.#}\" text-anchor=\"{anchor}\"{(bold ? " font-weight=\"bold\"" : string.Empty)}>{text}</text>");
}
