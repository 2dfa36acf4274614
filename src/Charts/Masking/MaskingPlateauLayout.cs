namespace TeleHearing.Charts;

/// <summary>Lays a masked threshold out: the one drawing behind the component and the file. Subject above, plot, then the verdict and its reason.</summary>
public static class MaskingPlateauLayout
{
    private const double TextSize = 16;
    private const double LineHeight = 22;
    private const double TextLeft = 14;
    private const double TextWidth = MaskingPlateauScale.Width - (2 * TextLeft);

    /// <summary>The whole drawing.</summary>
    public static SvgElement Draw(MaskingPlateau plateau)
    {
        var reading = PlateauReading.Of(plateau);
        var (subject, afterSubject) = Paragraph(MaskingPlateauText.Subject(plateau), 8, bold: false, size: 15);
        var scale = MaskingPlateauScale.For(plateau, reading, afterSubject + 10 + MaskingPlateauGrid.StripHeight);
        var (caption, height) = Caption(plateau, reading, scale.Bottom + MaskingPlateauGrid.AxisHeight);
        var (titleId, descriptionId) = ($"{plateau.IdPrefix}-title", $"{plateau.IdPrefix}-desc");
        SvgElement?[] parts =
        [
            SvgElement.Make("title", ("id", titleId)) with { Text = plateau.Title },
            SvgElement.Make("desc", ("id", descriptionId)) with { Text = MaskingPlateauText.Describe(plateau) },
            SvgElement.Make("rect", ("width", MaskingPlateauScale.Width), ("height", height), ("fill", Ink.Paper)),
            SvgElement.Group("subject", subject),
            .. MaskingPlateauGrid.Zones(reading, scale),
            MaskingPlateauGrid.Draw(plateau, scale),
            .. MaskingPlateauMarks.Bounds(plateau, scale),
            MaskingPlateauMarks.Level(reading, scale),
            MaskingPlateauMarks.Unmasked(plateau, reading, scale),
            MaskingPlateauMarks.Next(plateau, reading, scale),
            .. MaskingPlateauMarks.Curve(plateau, reading, scale),
            SvgElement.Group("caption", caption),
        ];
        return SvgElement.Make(
            "svg",
            ("viewBox", FormattableString.Invariant($"0 0 {MaskingPlateauScale.Width:0.##} {height:0.##}")),
            ("width", MaskingPlateauScale.Width),
            ("height", height),
            ("role", "img"),
            ("aria-labelledby", $"{titleId} {descriptionId}"),
            ("font-family", Ink.Font)) with
        { Children = [.. parts.OfType<SvgElement>()] };
    }

    private static (List<SvgElement> Drawing, double Bottom) Caption(MaskingPlateau plateau, PlateauReading reading, double top)
    {
        var (parts, bottom) = Paragraph(MaskingPlateauText.Headline(plateau), top + 4, bold: true, size: 19);
        bottom += 4;
        foreach (var line in MaskingPlateauText.Sentences(plateau))
        {
            Add(line, Ink.Text);
        }

        bottom += 6;
        foreach (var line in (string[])[.. Phases(reading), .. MaskingPlateauText.Bounds(plateau)])
        {
            Add(line, Ink.Quiet);
        }

        return (parts, bottom + 10);

        void Add(string text, string colour)
        {
            var (drawn, end) = Paragraph(text, bottom, bold: false, colour: colour);
            parts.AddRange(drawn);
            bottom = end;
        }
    }

    private static IEnumerable<string> Phases(PlateauReading reading) =>
        Enumerable.Range(0, reading.Points.Count)
            .Select(reading.PhaseOf)
            .Distinct()
            .Where(phase => phase != PlateauPhase.Open)
            .Order()
            .Select(phase => $"{(int)phase + 1} {MaskingPlateauText.Meaning(phase)}");

    private static (List<SvgElement> Drawing, double Bottom) Paragraph(string text, double top, bool bold, double size = TextSize, string colour = Ink.Text)
    {
        List<SvgElement> lines = [.. TextLines.Break(text, size, TextWidth).Select((line, index) => SvgElement.Label(TextLeft, top + size + (index * LineHeight), line, size, colour: colour, bold: bold))];
        return (lines, top + (lines.Count * LineHeight));
    }
}
