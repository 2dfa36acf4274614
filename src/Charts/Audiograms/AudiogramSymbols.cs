using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>Draws a measurement: the symbol of its kind (<see cref="SymbolForm"/>), broken for an estimate, with an arrow for no response, in outline with a whisker where the room hid
/// what lies above, small where another measurement stands in its place.</summary>
internal static class AudiogramSymbols
{
    /// <summary>Half the size of a symbol in drawing units.</summary>
    public const double Radius = 10;

    private const double SymbolWidth = 2.6;
    private const double SmallRadius = Radius * 0.55;
    private const double SmallWidth = 1.3;
    private const double ArrowLength = 20;
    private const double ArrowHead = 7;
    private const double WhiskerLength = 13;

    /// <summary>The mark of one measurement.</summary>
    /// <param name="point">Measurement.</param>
    /// <param name="level">Level it stands at, dB HL.</param>
    /// <param name="sinceMasked">Whether a masked measurement stands in its place.</param>
    public static SvgElement Point(AudiogramPoint point, double level, bool sinceMasked)
    {
        var form = SymbolForm.Of(point.Ear, point.Route, point.Masked);
        var colour = SymbolForm.ColourOf(point.Ear, point.Route, point.Masked);
        var (x, y) = (PlaceOf(point), AudiogramScale.Y(level));
        List<SvgElement> parts = [SvgElement.Make("title") with { Text = PointText.Sentence(point, sinceMasked) }];
        if (point.Superseded || sinceMasked)
        {
            parts.AddRange(form.Draw(x, y, SmallRadius, new Pen(colour, SmallWidth)));
        }
        else if (point.Outcome is ThresholdOutcome.NoiseLimited)
        {
            parts.AddRange(AtOrBetter(form, x, y, Radius, colour));
        }
        else
        {
            parts.AddRange(form.Draw(x, y, Radius, new Pen(colour, SymbolWidth, point.Estimate)));
            parts.AddRange(point.Outcome is ThresholdOutcome.NoResponseAtLimit ? Arrow(form, x, y, colour) : []);
        }

        var kind = sinceMasked && !point.Superseded ? "outranked" : KindOf(point);
        string[] classes =
        [
            "point",
            point.Ear == Ear.Right ? "right" : "left",
            kind,
            .. point.Route == ConductionRoute.Air ? Array.Empty<string>() : ["bone"],
            .. point.Masked ? ["masked"] : Array.Empty<string>(),
            .. point.Estimate ? ["estimate"] : Array.Empty<string>(),
        ];
        return SvgElement.Group(string.Join(' ', classes), parts, FormattableString.Invariant($"{Identity(point)}-{kind}-{level:0.#}"));
    }

    /// <summary>Which kind of measurement it is and where, as a part of a key.</summary>
    public static string Identity(AudiogramPoint point) =>
        FormattableString.Invariant($"{point.Ear}-{point.Route}{(point.Masked ? "-masked" : string.Empty)}{(point.Estimate ? "-estimate" : string.Empty)}-{point.Frequency.Hertz}");

    /// <summary>Where a symbol stands across the chart.</summary>
    public static double PlaceOf(AudiogramPoint point) =>
        AudiogramScale.X(point.Frequency) + (SymbolForm.Of(point.Ear, point.Route, point.Masked).Beside * SymbolForm.BesideDistance);

    /// <summary>The arrow of no response, downward from the symbol, and outward when an ear is meant.</summary>
    public static IEnumerable<SvgElement> Arrow(SymbolForm form, double x, double y, string colour)
    {
        var (startX, startY) = (x + form.Foot.X, y + form.Foot.Y);
        var reach = form.Lean == 0 ? ArrowLength : ArrowLength / Math.Sqrt(2);
        var (tipX, tipY) = (startX + (form.Lean * reach), startY + reach);
        var shaft = SvgElement.Line(startX, startY, tipX, tipY, colour, 2.2);
        yield return shaft.With("class", "arrow");
        if (form.Lean == 0)
        {
            var barb = ArrowHead / Math.Sqrt(2);
            yield return SvgElement.Line(tipX, tipY, tipX - barb, tipY - barb, colour, 2.2);
            yield return SvgElement.Line(tipX, tipY, tipX + barb, tipY - barb, colour, 2.2);
            yield break;
        }

        yield return SvgElement.Line(tipX, tipY, tipX - (form.Lean * ArrowHead), tipY, colour, 2.2);
        yield return SvgElement.Line(tipX, tipY, tipX, tipY - ArrowHead, colour, 2.2);
    }

    /// <summary>The symbol in outline with a whisker toward better hearing, which is up: at this level or better.</summary>
    public static IEnumerable<SvgElement> AtOrBetter(SymbolForm form, double x, double y, double radius, string colour)
    {
        var foot = y - (form.Reach * radius / Radius) - 3;
        var head = foot - (WhiskerLength * radius / Radius);
        var whisker = SvgElement.Line(x, foot, x, head, colour, 2);
        return
        [
            .. form.Draw(x, y, radius, new Pen(colour, 6.2, SquareEnds: true)),
            .. form.Draw(x, y, radius, new Pen(Ink.Paper, 3, SquareEnds: true)),
            whisker.With("class", "whisker"),
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
