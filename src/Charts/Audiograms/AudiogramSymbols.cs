using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>The symbols of an audiogram (ASHA 1990 and ISO 8253-1, as in Tables/audiogram_symbols.csv of the audiology library): right red circle, left blue cross,
/// no response an arrow from the lower outer corner, down and left for the right ear, down and right for the left.</summary>
internal static class AudiogramSymbols
{
    /// <summary>Half the size of a symbol in drawing units.</summary>
    public const double Radius = 10;

    private const double ArrowLength = 20;
    private const double ArrowHead = 7;
    private const double WhiskerLength = 13;

    public static SvgElement Point(AudiogramPoint point, double level)
    {
        var x = AudiogramScale.X(point.Frequency);
        var y = AudiogramScale.Y(level);
        var colour = Ink.Of(point.Ear);
        var words = SvgElement.Make("title") with { Text = $"{OutcomeText.Name(point.Ear)} ear, {point.Frequency}: {OutcomeText.Full(point.Outcome)}{(point.Superseded ? " (earlier measurement)" : string.Empty)}" };
        List<SvgElement> parts = [words];
        if (point.Superseded)
        {
            parts.AddRange(Plain(point.Ear, x, y, Radius * 0.5, colour, 1.2));
        }
        else
        {
            switch (point.Outcome)
            {
                case ThresholdOutcome.NoiseLimited:
                    parts.AddRange(AtOrBetter(point.Ear, x, y, Radius, colour));
                    break;
                case ThresholdOutcome.NoResponseAtLimit:
                    parts.AddRange(Plain(point.Ear, x, y, Radius, colour, 2.6));
                    parts.AddRange(Arrow(point.Ear, x, y, colour));
                    break;
                default:
                    parts.AddRange(Plain(point.Ear, x, y, Radius, colour, 2.6));
                    break;
            }
        }

        var css = $"point {(point.Ear == Ear.Right ? "right" : "left")} {KindOf(point)}";
        return SvgElement.Group(css, parts, $"{point.Ear}-{point.Frequency.Hertz}-{KindOf(point)}-{level:0.#}");
    }

    /// <summary>A plain symbol: a measured threshold.</summary>
    public static IEnumerable<SvgElement> Plain(Ear ear, double x, double y, double radius, string colour, double width)
    {
        if (ear == Ear.Right)
        {
            yield return SvgElement.Make("circle", ("cx", x), ("cy", y), ("r", radius), ("fill", "none"), ("stroke", colour), ("stroke-width", width));
            yield break;
        }

        var arm = radius * 0.9;
        yield return SvgElement.Line(x - arm, y - arm, x + arm, y + arm, colour, width);
        yield return SvgElement.Line(x - arm, y + arm, x + arm, y - arm, colour, width);
    }

    /// <summary>The arrow of no response, from the symbol's lower outer corner outward.</summary>
    public static IEnumerable<SvgElement> Arrow(Ear ear, double x, double y, string colour)
    {
        var side = ear == Ear.Right ? -1 : 1;
        var corner = Radius * 0.75;
        var (startX, startY) = (x + (side * corner), y + corner);
        var reach = ArrowLength / Math.Sqrt(2);
        var (tipX, tipY) = (startX + (side * reach), startY + reach);
        var shaft = SvgElement.Line(startX, startY, tipX, tipY, colour, 2.2);
        yield return shaft with { Attributes = [.. shaft.Attributes, KeyValuePair.Create("class", "arrow")] };
        yield return SvgElement.Line(tipX, tipY, tipX - (side * ArrowHead), tipY, colour, 2.2);
        yield return SvgElement.Line(tipX, tipY, tipX, tipY - ArrowHead, colour, 2.2);
    }

    /// <summary>The symbol in outline with a whisker toward better hearing, which is up: at this level or better.</summary>
    public static IEnumerable<SvgElement> AtOrBetter(Ear ear, double x, double y, double radius, string colour)
    {
        var foot = y - radius - 1;
        var head = foot - (WhiskerLength * radius / Radius);
        var outer = Plain(ear, x, y, radius, colour, 6.5);
        var inner = Plain(ear, x, y, radius, Ink.Paper, 3.2);
        var whisker = SvgElement.Line(x, foot, x, head, colour, 2);
        return
        [
            .. outer,
            .. inner,
            whisker with { Attributes = [.. whisker.Attributes, KeyValuePair.Create("class", "whisker")] },
            SvgElement.Line(x - 7, head, x + 7, head, colour, 2),
        ];
    }

    /// <summary>The level a symbol stands at; null when the outcome has none and no symbol is drawn.</summary>
    public static double? LevelOf(ThresholdOutcome outcome) => outcome switch
    {
        ThresholdOutcome.Established established => established.LevelDbHl,
        ThresholdOutcome.NoResponseAtLimit none => none.LimitDbHl,
        ThresholdOutcome.NoiseLimited limited => limited.BoundDbHl,
        _ => null,
    };

    private static string KindOf(AudiogramPoint point) => point switch
    {
        { Superseded: true } => "superseded",
        { Outcome: ThresholdOutcome.Established } => "established",
        { Outcome: ThresholdOutcome.NoResponseAtLimit } => "no-response",
        { Outcome: ThresholdOutcome.NoiseLimited } => "noise-limited",
        _ => "not-established",
    };
}
