namespace TeleHearing.Charts;

/// <summary>The curve itself: points, their joins, the level of the plateau, the bounds of the masker, and what comes next.</summary>
internal static class MaskingPlateauMarks
{
    private const double Dot = 5.5;
    private const double BarHalf = 9;

    /// <summary>Upright lines at the least masker needed and the highest that is safe, named at their feet.</summary>
    public static IEnumerable<SvgElement> Bounds(MaskingPlateau plateau, MaskingPlateauScale scale)
    {
        // When the two have changed places, their names stand on the outer sides and stay legible.
        var crossed = plateau.MinimumDbEm >= plateau.OverMaskingFromDbEm;
        if (plateau.MinimumDbEm is { } least && double.IsFinite(least))
        {
            yield return Bound("minimum", "min", scale.X(least), crossed ? 1 : -1, Ink.Quiet, "2 4", scale);
        }

        if (plateau.OverMaskingFromDbEm is { } most && double.IsFinite(most))
        {
            yield return Bound("over-masking", "max", scale.X(most), crossed ? -1 : 1, Ink.BarOver, "10 3 2 3", scale);
        }
    }

    /// <summary>The threshold without a masker, in its own column, with a thread to the first point.</summary>
    public static SvgElement? Unmasked(MaskingPlateau plateau, PlateauReading reading, MaskingPlateauScale scale)
    {
        if (plateau.UnmaskedDbHl is not { } level || !double.IsFinite(level))
        {
            return null;
        }

        var (x, y) = ((MaskingPlateauScale.Left + scale.PlotLeft) / 2, scale.Y(level));
        var form = SymbolForm.Of(plateau.Ear, plateau.Route, masked: false);
        List<SvgElement> parts =
        [
            SvgElement.Make("title") with { Text = $"Without a masker: {OutcomeText.Number(level)} dB HL" },
            .. form.Draw(x, y, AudiogramSymbols.Radius, new Pen(SymbolForm.ColourOf(plateau.Ear, plateau.Route, masked: false), 2.4)),
        ];
        if (reading.Points.Count > 0)
        {
            parts.Add(SvgElement.Line(x + 14, y, scale.X(reading.Points[0].MaskerDbEm) - 8, scale.Y(reading.Points[0].ToneDbHl), Ink.Quiet, 1.2, "2 4"));
        }

        return SvgElement.Group("unmasked", parts, "unmasked");
    }

    /// <summary>Points in order, joined.</summary>
    public static IEnumerable<SvgElement> Curve(MaskingPlateau plateau, PlateauReading reading, MaskingPlateauScale scale)
    {
        var colour = Ink.Of(plateau.Ear);
        for (var index = 1; index < reading.Points.Count; index++)
        {
            var (from, to) = (reading.Points[index - 1], reading.Points[index]);
            yield return SvgElement.Line(scale.X(from.MaskerDbEm), scale.Y(from.ToneDbHl), scale.X(to.MaskerDbEm), scale.Y(to.ToneDbHl), colour, 2.2).With("class", "join") with { Key = $"join-{index}" };
        }

        for (var index = 0; index < reading.Points.Count; index++)
        {
            var point = reading.Points[index];
            var phase = reading.PhaseOf(index);
            yield return SvgElement.Group(
                phase == PlateauPhase.Open ? "dot" : $"dot {MaskingPlateauText.Name(phase)}",
                [
                    SvgElement.Make("title") with { Text = $"Masker {OutcomeText.Number(point.MaskerDbEm)} dB EM, tone {OutcomeText.Number(point.ToneDbHl)} dB HL" },
                    SvgElement.Make("circle", ("cx", scale.X(point.MaskerDbEm)), ("cy", scale.Y(point.ToneDbHl)), ("r", Dot), ("fill", colour), ("stroke", Ink.Paper), ("stroke-width", 1.5)),
                ],
                $"dot-{index}");
        }
    }

    /// <summary>A bar along the stretch where the tone stood still, with its level; in outline and grey unless it is a plateau.</summary>
    public static SvgElement? Level(PlateauReading reading, MaskingPlateauScale scale)
    {
        if (reading.Stand is not { } stand)
        {
            return null;
        }

        var tones = reading.Points.Skip(stand.First).Take(stand.Last - stand.First + 1).Select(point => point.ToneDbHl).ToList();
        var (from, to) = (scale.X(reading.Points[stand.First].MaskerDbEm), scale.X(reading.Points[stand.Last].MaskerDbEm));
        var (top, bottom) = (scale.Y(tones.Min()) - BarHalf, scale.Y(tones.Max()) + BarHalf);
        var bar = SvgElement.Make("rect", ("x", from - BarHalf), ("y", top), ("width", to - from + (2 * BarHalf)), ("height", bottom - top), ("rx", BarHalf));
        bar = reading.IsPlateau
            ? bar.With("fill", Ink.PlateauBar).With("stroke", Ink.PlateauEdge).With("stroke-width", 2)
            : bar.With("fill", "none").With("stroke", Ink.Quiet).With("stroke-width", 1.6).With("stroke-dasharray", "4 3");
        var words = reading.IsPlateau ? $"{OutcomeText.Number(stand.LevelDbHl)} dB HL" : $"still over {OutcomeText.Number(stand.RiseDb)} dB";

        // The curve comes from above and leaves downward on the right: under the middle of the bar there is nothing but the names of the bounds.
        var below = bottom + 20 < scale.Bottom - 24;
        return SvgElement.Group(
            reading.IsPlateau ? "stand plateau" : "stand",
            [bar, SvgElement.Label((from + to) / 2, below ? bottom + 20 : top - 8, words, 16, "middle", reading.IsPlateau ? Ink.PlateauEdge : Ink.Quiet, bold: true)],
            "stand");
    }

    /// <summary>What comes next: a ring in broken strokes, and the way to it.</summary>
    public static SvgElement? Next(MaskingPlateau plateau, PlateauReading reading, MaskingPlateauScale scale)
    {
        if (plateau is not { Verdict: null, Next: { } next } || !double.IsFinite(next.ToneDbHl) || !double.IsFinite(next.MaskerDbEm))
        {
            return null;
        }

        var (x, y) = (scale.X(next.MaskerDbEm), scale.Y(next.ToneDbHl));
        List<SvgElement> parts = [];
        if (reading.Points.Count > 0)
        {
            parts.Add(SvgElement.Line(scale.X(reading.Points[^1].MaskerDbEm), scale.Y(reading.Points[^1].ToneDbHl), x, y, Ink.Cursor, 1.4, "3 4"));
        }

        var right = x < MaskingPlateauScale.Right - 60;
        parts.Add(SvgElement.Make("circle", ("cx", x), ("cy", y), ("r", 9), ("fill", Ink.Paper), ("stroke", Ink.Cursor), ("stroke-width", 2.4), ("stroke-dasharray", "4 3")));
        parts.Add(SvgElement.Label(x + (right ? 15 : -15), y + 5, "next", 15, right ? "start" : "end", Ink.Cursor, bold: true));
        return SvgElement.Group("next", parts, "next");
    }

    private static SvgElement Bound(string css, string name, double x, int side, string colour, string dashes, MaskingPlateauScale scale) => SvgElement.Group(
        $"bound {css}",
        [
            SvgElement.Line(x, scale.Top, x, scale.Bottom, colour, 2, dashes),
            SvgElement.Label(x + (side * 6), scale.Bottom - 8, name, 15, side < 0 ? "end" : "start", colour, bold: true),
        ],
        $"bound-{css}");
}
