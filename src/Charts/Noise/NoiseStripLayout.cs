using System.Globalization;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Charts;

/// <summary>Lays a live room out: a narrow bar a band on a fixed scale, so that nothing jumps but what is heard; the limit as a step over it.</summary>
/// <remarks>What a colour says, a shape says too: a band over its limit carries a mark above it, one that cannot be told is hollow.</remarks>
public static class NoiseStripLayout
{
    private const double LowestDb = -10;
    private const double HighestDb = 90;
    private const double Top = 14;
    private const double PlotHeight = 74;
    private const double Left = 34;
    private const double BandWidth = 14;

    private static readonly double[] _labelled = [31.5, 125, 500, 2000, 8000];

    /// <summary>The whole drawing.</summary>
    public static SvgElement Draw(NoiseStrip strip)
    {
        static double Y(double level) => Top + ((HighestDb - Math.Clamp(level, LowestDb, HighestDb)) / (HighestDb - LowestDb) * PlotHeight);
        var right = Left + (Math.Max(strip.Bands.Count, 8) * BandWidth);
        var (width, height) = (right + 6, Top + PlotHeight + 18);
        var (titleId, descriptionId) = ($"{strip.IdPrefix}-title", $"{strip.IdPrefix}-desc");
        var svg = SvgElement.Make(
            "svg",
            ("viewBox", string.Create(CultureInfo.InvariantCulture, $"0 0 {width:0.##} {height:0.##}")),
            ("width", width),
            ("height", height),
            ("role", "img"),
            ("aria-labelledby", $"{titleId} {descriptionId}"),
            ("font-family", Ink.Font));
        return svg with
        {
            Children =
            [
                SvgElement.Make("title", ("id", titleId)) with { Text = strip.Title },
                SvgElement.Make("desc", ("id", descriptionId)) with { Text = NoiseStripText.Describe(strip) },
                SvgElement.Make("rect", ("width", width), ("height", height), ("fill", Ink.Paper)),
                SvgElement.Group("grid", new[] { 0.0, 40, 80 }.SelectMany(level => new[]
                {
                    SvgElement.Line(Left, Y(level), right, Y(level), Ink.Grid, 1),
                    SvgElement.Label(Left - 5, Y(level) + 4, OutcomeText.Number(level), 11, "end", Ink.Quiet),
                })),
                .. strip.Bands.Select((band, index) => Band(band, Left + (index * BandWidth), Y) with { Key = string.Create(CultureInfo.InvariantCulture, $"band-{index}") }),
            ],
        };
    }

    private static SvgElement Band(NoiseStripBand band, double x, Func<double, double> y)
    {
        var (top, floor) = (y(band.LevelDbSpl), y(LowestDb));
        var over = band.Verdict == NoiseVerdict.TooLoud;
        var hollow = band.Verdict == NoiseVerdict.NotVerifiable;
        List<SvgElement> parts = [];
        if (band.Bears)
        {
            parts.Add(SvgElement.Make("rect", ("class", "bears"), ("x", x), ("y", Top), ("width", BandWidth), ("height", PlotHeight), ("fill", Ink.Hidden)));
        }

        parts.Add(SvgElement.Make(
            "rect",
            ("class", over ? "bar over" : hollow ? "bar unknown" : "bar"),
            ("x", x + 3),
            ("y", top),
            ("width", BandWidth - 6),
            ("height", Math.Max(0, floor - top)),
            ("fill", over ? Ink.BarOver : hollow ? Ink.Paper : Ink.Bar),
            ("stroke", over ? Ink.BarOver : Ink.Bar)));
        if (band.LimitDbSpl is { } limit)
        {
            var step = SvgElement.Line(x, y(limit), x + BandWidth, y(limit), Ink.Limit, 2);
            parts.Add(step with { Attributes = [.. step.Attributes, KeyValuePair.Create("class", "limit")] });
        }

        if (over)
        {
            parts.Add(SvgElement.Label(x + (BandWidth / 2), top - 3, "▲", 9, "middle", Ink.BarOver));
        }

        if (_labelled.Contains(band.BandHz))
        {
            parts.Add(SvgElement.Label(x + (BandWidth / 2), floor + 13, NoiseSpectrumLayout.ShortBand(band.BandHz), 11, "middle", Ink.Quiet));
        }

        return SvgElement.Group(over ? "band over" : "band", parts);
    }
}
