using System.Globalization;

namespace TeleHearing.Charts;

/// <summary>Frame, grid, axis words, and the zones of a plateau with their names over them.</summary>
internal static class MaskingPlateauGrid
{
    /// <summary>Height of the strip with the names of the zones.</summary>
    public const double StripHeight = 28;

    /// <summary>Room under the plot for the words of the axis.</summary>
    public const double AxisHeight = 56;

    private const double TextSize = 17;
    private const double NameSize = 15;
    private const string LongToneWords = "Tone, dB HL (louder downward)";

    public static SvgElement Draw(MaskingPlateau plateau, MaskingPlateauScale scale) =>
        SvgElement.Group("grid", [.. Levels(scale), .. Maskers(scale), Frame(scale), .. Words(plateau, scale)]);

    /// <summary>A zone for each phase, from half way to the neighbour before it to half way to the one after it.</summary>
    public static IEnumerable<SvgElement> Zones(PlateauReading reading, MaskingPlateauScale scale)
    {
        if (reading is not { IsPlateau: true, Stand: { } stand })
        {
            yield break;
        }

        var points = reading.Points;
        var from = stand.First == 0 ? Math.Max(scale.PlotLeft, scale.X(points[0].MaskerDbEm) - 12) : Middle(stand.First - 1);
        var to = stand.Last == points.Count - 1 ? Math.Min(MaskingPlateauScale.Right, scale.X(points[stand.Last].MaskerDbEm) + 12) : Middle(stand.Last);
        if (stand.First > 0)
        {
            yield return Zone(PlateauPhase.UnderMasked, Math.Max(scale.PlotLeft, scale.X(points[0].MaskerDbEm) - 12), from, scale);
        }

        yield return Zone(PlateauPhase.Plateau, from, to, scale);
        if (stand.Last < points.Count - 1)
        {
            yield return Zone(PlateauPhase.OverMasked, to, Math.Min(MaskingPlateauScale.Right, scale.X(points[^1].MaskerDbEm) + 12), scale);
        }

        double Middle(int index) => (scale.X(points[index].MaskerDbEm) + scale.X(points[index + 1].MaskerDbEm)) / 2;
    }

    private static SvgElement Zone(PlateauPhase phase, double from, double to, MaskingPlateauScale scale)
    {
        var (fill, edge, number) = phase switch
        {
            PlateauPhase.Plateau => (Ink.Plateau, Ink.PlateauEdge, "2"),
            PlateauPhase.UnderMasked => (Ink.UnderMasked, Ink.HiddenEdge, "1"),
            _ => (Ink.OverMasked, Ink.BarOver, "3"),
        };
        var name = MaskingPlateauText.Name(phase);
        var words = TextLines.WidthOf($"{number} {name}", NameSize) <= to - from ? $"{number} {name}" : number;
        var strip = scale.Top - StripHeight;
        return SvgElement.Group(
            $"zone {name}",
            [
                SvgElement.Make("rect", ("x", from), ("y", strip), ("width", Math.Max(0, to - from)), ("height", scale.Bottom - strip), ("fill", fill)),
                SvgElement.Line(from, strip, from, scale.Bottom, edge, 1.2, "4 3"),
                SvgElement.Line(to, strip, to, scale.Bottom, edge, 1.2, "4 3"),
                SvgElement.Line(from, strip, to, strip, edge, phase == PlateauPhase.Plateau ? 4 : 1.6),
                SvgElement.Label((from + to) / 2, scale.Top - 8, words, NameSize, "middle", edge, bold: phase == PlateauPhase.Plateau),
            ],
            $"zone-{name}");
    }

    private static IEnumerable<SvgElement> Levels(MaskingPlateauScale scale)
    {
        for (var level = scale.ToneFrom; level <= scale.ToneTo; level += 10)
        {
            yield return SvgElement.Line(MaskingPlateauScale.Left, scale.Y(level), MaskingPlateauScale.Right, scale.Y(level), Ink.Grid, 1);
            yield return SvgElement.Label(MaskingPlateauScale.Left - 8, scale.Y(level) + 6, OutcomeText.Number(level), TextSize, "end");
        }
    }

    private static IEnumerable<SvgElement> Maskers(MaskingPlateauScale scale)
    {
        var crowded = scale.X(scale.MaskerFrom + 10) - scale.PlotLeft < 38;
        for (var level = scale.MaskerFrom; level <= scale.MaskerTo; level += 10)
        {
            yield return SvgElement.Line(scale.X(level), scale.Top, scale.X(level), scale.Bottom, Ink.Grid, 1);
            if (!crowded || level % 20 == 0)
            {
                yield return SvgElement.Label(scale.X(level), scale.Bottom + 20, OutcomeText.Number(level), TextSize, "middle");
            }
        }
    }

    private static SvgElement Frame(MaskingPlateauScale scale) =>
        SvgElement.Make("rect", ("x", MaskingPlateauScale.Left), ("y", scale.Top), ("width", MaskingPlateauScale.Right - MaskingPlateauScale.Left), ("height", scale.Bottom - scale.Top), ("fill", "none"), ("stroke", Ink.Frame), ("stroke-width", 1.4));

    private static IEnumerable<SvgElement> Words(MaskingPlateau plateau, MaskingPlateauScale scale)
    {
        yield return SvgElement.Label((scale.PlotLeft + MaskingPlateauScale.Right) / 2, scale.Bottom + 44, "Masker in the other ear, dB EM", 16, "middle", Ink.Quiet);
        if (plateau.UnmaskedDbHl is not null)
        {
            yield return SvgElement.Line(scale.PlotLeft, scale.Top, scale.PlotLeft, scale.Bottom, Ink.Frame, 1);
            yield return SvgElement.Label(MaskingPlateauScale.Left + 3, scale.Bottom + 20, "none", 16);
        }

        var middle = (scale.Top + scale.Bottom) / 2;
        var words = TextLines.WidthOf(LongToneWords, 16) <= scale.Bottom - scale.Top ? LongToneWords : "Tone, dB HL";
        yield return SvgElement.Label(18, middle, words, 16, "middle", Ink.Quiet).With("transform", string.Create(CultureInfo.InvariantCulture, $"rotate(-90 18 {middle:0.##})"));
    }
}
