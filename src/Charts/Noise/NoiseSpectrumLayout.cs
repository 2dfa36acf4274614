using System.Globalization;

namespace TeleHearing.Charts;

/// <summary>Lays a noise spectrum out: a bar a band, the limit as a heavy step over it, the highest second as a thin line.</summary>
public static class NoiseSpectrumLayout
{
    private const double Left = 58;
    private const double Top = 20;
    private const double PlotHeight = 230;
    private const double BandWidth = 25;

    /// <summary>The whole drawing.</summary>
    public static SvgElement Draw(NoiseSpectrum spectrum)
    {
        var rows = NoiseSpectrumText.Rows(spectrum);
        var (low, high) = Range(rows);
        double Y(double level) => Top + ((high - Math.Clamp(level, low, high)) / (high - low) * PlotHeight);
        var right = Left + (Math.Max(rows.Count, 12) * BandWidth);
        var (width, height) = (right + 16, Top + PlotHeight + 104);
        var (titleId, descriptionId) = ($"{spectrum.IdPrefix}-title", $"{spectrum.IdPrefix}-desc");
        List<SvgElement> parts =
        [
            SvgElement.Make("title", ("id", titleId)) with { Text = spectrum.Title },
            SvgElement.Make("desc", ("id", descriptionId)) with { Text = NoiseSpectrumText.Describe(spectrum) },
            SvgElement.Make("rect", ("width", width), ("height", height), ("fill", Ink.Paper)),
            SvgElement.Group("grid", Grid(low, high, right, Y)),
            .. rows.Select((row, index) => Bar(row, Left + (index * BandWidth), Y(low), Y) with { Key = FormattableString.Invariant($"band-{index}") }),
            SvgElement.Group("legend", Legend(Top + PlotHeight + 84)),
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

    private static (double Low, double High) Range(IReadOnlyList<NoiseRow> rows)
    {
        var levels = rows.SelectMany(row => new[] { row.LevelDbSpl, row.HighestDbSpl ?? row.LevelDbSpl, row.LimitDbSpl ?? row.LevelDbSpl }).Where(double.IsFinite).ToList();
        var low = levels.Count == 0 ? 0 : Math.Min(0, Math.Floor(levels.Min() / 10) * 10);
        var high = levels.Count == 0 ? 60 : Math.Max(60, Math.Ceiling(levels.Max() / 10) * 10);
        return (Math.Max(low, -20), high);
    }

    private static IEnumerable<SvgElement> Grid(double low, double high, double right, Func<double, double> y)
    {
        for (var level = low; level <= high; level += 10)
        {
            yield return SvgElement.Line(Left, y(level), right, y(level), Ink.Grid, 1);
            yield return SvgElement.Label(Left - 8, y(level) + 5, OutcomeText.Number(level), 14, "end");
        }

        var middle = Top + (PlotHeight / 2);
        var word = SvgElement.Label(14, middle, "dB SPL in the band", 14, "middle", Ink.Quiet);
        yield return word with { Attributes = [.. word.Attributes, KeyValuePair.Create("transform", string.Create(CultureInfo.InvariantCulture, $"rotate(-90 14 {middle})"))] };
    }

    private static SvgElement Bar(NoiseRow row, double x, double floor, Func<double, double> y)
    {
        var over = row.OverByDb > 0;
        var top = y(row.LevelDbSpl);
        List<SvgElement> parts =
        [
            SvgElement.Make("title") with { Text = Words(row) },
            SvgElement.Make("rect", ("class", over ? "bar over" : "bar"), ("x", x + 4), ("y", top), ("width", BandWidth - 8), ("height", Math.Max(0, floor - top)), ("fill", over ? Ink.BarOver : Ink.Bar)),
        ];
        if (row.HighestDbSpl is { } highest)
        {
            parts.Add(SvgElement.Line(x + 4, y(highest), x + BandWidth - 4, y(highest), Ink.Quiet, 1.5));
        }

        if (row.LimitDbSpl is { } limit)
        {
            var step = SvgElement.Line(x, y(limit), x + BandWidth, y(limit), Ink.Limit, 3);
            parts.Add(step with { Attributes = [.. step.Attributes, KeyValuePair.Create("class", "limit")] });
        }

        if (over)
        {
            parts.Add(SvgElement.Label(x + (BandWidth / 2), Math.Min(top, row.HighestDbSpl is { } peak ? y(peak) : top) - 5, "over", 11, "middle", Ink.BarOver, bold: true));
        }

        var (labelX, labelY) = (x + (BandWidth / 2) + 4, floor + 12);
        var label = SvgElement.Label(labelX, labelY, ShortBand(row.BandHz), 13, "end");
        parts.Add(label with { Attributes = [.. label.Attributes, KeyValuePair.Create("transform", string.Create(CultureInfo.InvariantCulture, $"rotate(-60 {labelX:0.##} {labelY:0.##})"))] });
        return SvgElement.Group(over ? "band over" : "band", parts);
    }

    private static IEnumerable<SvgElement> Legend(double y)
    {
        yield return SvgElement.Make("rect", ("x", Left), ("y", y - 11), ("width", 14), ("height", 12), ("fill", Ink.Bar));
        yield return SvgElement.Label(Left + 20, y, "average", 14);
        yield return SvgElement.Line(Left + 90, y - 5, Left + 108, y - 5, Ink.Quiet, 1.5);
        yield return SvgElement.Label(Left + 114, y, "highest second", 14);
        yield return SvgElement.Line(Left + 226, y - 5, Left + 250, y - 5, Ink.Limit, 3);
        yield return SvgElement.Label(Left + 256, y, "limit", 14);
    }

    private static string Words(NoiseRow row)
    {
        var limit = row.LimitDbSpl is { } value ? $", limit {NoiseSpectrumText.Db(value)} dB SPL" : ", no limit";
        return $"{NoiseSpectrumText.Band(row.BandHz)}: {NoiseSpectrumText.Db(row.LevelDbSpl)} dB SPL{limit}";
    }

    internal static string ShortBand(double bandHz) =>
        bandHz >= 1000
            ? $"{(bandHz / 1000).ToString("0.##", CultureInfo.InvariantCulture)}k"
            : bandHz.ToString("0.#", CultureInfo.InvariantCulture);
}
