using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>Lays an audiogram out: the one drawing behind the component and the file.</summary>
public static class AudiogramLayout
{
    /// <summary>How much larger words are on a chart with extended high frequencies: about as much as it is wider, as far as neighbouring numbers do not touch.</summary>
    private const double WideTextScale = 1.35;

    /// <summary>The whole drawing.</summary>
    public static SvgElement Draw(Audiogram audiogram)
    {
        // Beyond 8000 Hz there is room only for what is drawn there: a frequency without a level is told in the legend.
        var extended = audiogram.Cursor is { } inHand && AudiogramScale.IsExtended(inHand.Frequency)
            || audiogram.Points.Any(point => audiogram.Shows(point.Ear) && AudiogramScale.IsExtended(point.Frequency) && AudiogramSymbols.LevelOf(point.Outcome) is not null);

        // A wider chart is drawn smaller in the same place; its words must stay legible.
        var textScale = extended ? WideTextScale : 1;
        var legendTop = AudiogramGrid.FrameBottom + (38 * textScale);
        var (legend, legendHeight) = AudiogramLegend.Draw(audiogram, legendTop, textScale);
        var right = extended ? AudiogramGrid.ExtendedFrame.Right : AudiogramGrid.FrameRight;
        var left = -AudiogramGrid.MarginForWords(textScale);
        var width = right + 14 - left;
        var height = legendTop + legendHeight;
        var (titleId, descriptionId) = ($"{audiogram.IdPrefix}-title", $"{audiogram.IdPrefix}-desc");
        List<SvgElement> parts =
        [
            SvgElement.Make("title", ("id", titleId)) with { Text = audiogram.Title },
            SvgElement.Make("desc", ("id", descriptionId)) with { Text = AudiogramText.Describe(audiogram) },
            SvgElement.Make("rect", ("x", left), ("width", width), ("height", height), ("fill", Ink.Paper)),
        ];
        if (AudiogramGrid.Hidden(audiogram.LowestProvable) is { } hidden)
        {
            parts.Add(hidden);
        }

        parts.Add(AudiogramGrid.Draw(extended, textScale));
        if (audiogram.Cursor is { } cursor)
        {
            parts.Add(CursorMark(cursor, right));
        }

        parts.AddRange(Superseded(audiogram));
        var ears = Enum.GetValues<Ear>().Where(audiogram.Shows).ToList();
        var standing = ears.SelectMany(audiogram.Standing).ToList();
        parts.AddRange(ears.SelectMany(ear => Joins(audiogram.Holding(ear, ConductionRoute.Air))));
        parts.AddRange(Intervals(audiogram, standing));
        parts.AddRange(Symbols(audiogram, standing));
        parts.Add(legend);
        var svg = SvgElement.Make(
            "svg",
            ("viewBox", FormattableString.Invariant($"{left:0.##} 0 {width:0.##} {height:0.##}")),
            ("width", width),
            ("height", height),
            ("role", "img"),
            ("aria-labelledby", $"{titleId} {descriptionId}"),
            ("font-family", Ink.Font));
        return svg with { Children = parts };
    }

    // A point may be measured again and again, also to the same level; every mark needs an identity of its own, so repeats are counted.
    private static IEnumerable<SvgElement> Superseded(Audiogram audiogram) =>
        Symbols(audiogram, audiogram.Points.Where(point => point.Superseded && audiogram.Shows(point.Ear)))
            .GroupBy(symbol => symbol.Key)
            .SelectMany(repeats => repeats.Select((symbol, index) => symbol with { Key = FormattableString.Invariant($"{symbol.Key}-{index}") }));

    private static IEnumerable<SvgElement> Symbols(Audiogram audiogram, IEnumerable<AudiogramPoint> points) =>
        from point in points
        let level = AudiogramSymbols.LevelOf(point.Outcome)
        where level is not null
        select AudiogramSymbols.Point(point, level.Value, audiogram.IsSinceMasked(point));

    private static IEnumerable<SvgElement> Intervals(Audiogram audiogram, IEnumerable<AudiogramPoint> standing) =>
        standing
            .Where(point => !audiogram.IsOutranked(point))
            .Select(point => AudiogramSymbols.LevelOf(point.Outcome) is { } level ? IntervalBars.Of(point, level) : null)
            .OfType<SvgElement>();

    // Neighbours are joined only when both are thresholds: a limit or a bound between two thresholds says nothing of the path between them.
    // Bone conduction is never joined: the eye is to go from its symbol to the air line at the same frequency, and dashes already mean the left ear.
    private static IEnumerable<SvgElement> Joins(IReadOnlyList<AudiogramPoint> standing)
    {
        foreach (var (from, to) in standing.Zip(standing.Skip(1)))
        {
            // The axis is broken between the two ranges, and so is the line.
            if (AudiogramScale.IsExtended(from.Frequency) != AudiogramScale.IsExtended(to.Frequency))
            {
                continue;
            }

            if (from.Outcome is not ThresholdOutcome.Established first || to.Outcome is not ThresholdOutcome.Established second)
            {
                continue;
            }

            var (x1, y1) = (AudiogramScale.X(from.Frequency), AudiogramScale.Y(first.LevelDbHl));
            var (x2, y2) = (AudiogramScale.X(to.Frequency), AudiogramScale.Y(second.LevelDbHl));
            var length = Math.Sqrt(((x2 - x1) * (x2 - x1)) + ((y2 - y1) * (y2 - y1)));
            var gap = AudiogramSymbols.Radius + 2;
            if (length <= 2 * gap)
            {
                continue;
            }

            var (dx, dy) = ((x2 - x1) / length * gap, (y2 - y1) / length * gap);
            var line = SvgElement.Line(x1 + dx, y1 + dy, x2 - dx, y2 - dy, Ink.Of(from.Ear), from.Estimate || to.Estimate ? 1.1 : 2.2, from.Ear == Ear.Left ? "7 5" : null);
            yield return line with
            {
                Attributes = [.. line.Attributes, KeyValuePair.Create("class", $"join {(from.Ear == Ear.Right ? "right" : "left")}")],
                Key = FormattableString.Invariant($"join-{from.Ear}-{from.Frequency.Hertz}-{first.LevelDbHl}-{to.Frequency.Hertz}-{second.LevelDbHl}"),
            };
        }
    }

    private static SvgElement CursorMark(AudiogramCursor cursor, double right)
    {
        var (x, y) = (AudiogramScale.X(cursor.Frequency), AudiogramScale.Y(cursor.LevelDbHl));
        return SvgElement.Group(
            "cursor",
            [
                SvgElement.Line(x, AudiogramGrid.FrameTop, x, AudiogramGrid.FrameBottom, Ink.Cursor, 1.2, "1 3"),
                SvgElement.Line(AudiogramGrid.FrameLeft, y, right, y, Ink.Cursor, 1.2, "1 3"),
                SvgElement.Make("rect", ("x", x - 15), ("y", y - 15), ("width", 30), ("height", 30), ("rx", 5), ("fill", "none"), ("stroke", Ink.Cursor), ("stroke-width", 2.2)),
                SvgElement.Label(x + (cursor.Ear == Ear.Right ? -21 : 21), y - 9, cursor.Ear == Ear.Right ? "R" : "L", 15, cursor.Ear == Ear.Right ? "end" : "start", Ink.Cursor, bold: true),
            ]);
    }
}
