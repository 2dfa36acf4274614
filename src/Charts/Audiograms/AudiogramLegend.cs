using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>The explanation under the chart: what is drawn, in words, and what could not be drawn.</summary>
internal static class AudiogramLegend
{
    private const double RowHeight = 31;
    private const double ColumnWidth = 272;
    private const double TextSize = 17.5;

    public static (SvgElement Drawing, double Height) Draw(Audiogram audiogram, double top)
    {
        var items = Items(audiogram).ToList();
        List<SvgElement> parts = [];
        for (var index = 0; index < items.Count; index++)
        {
            var x = AudiogramGrid.FrameLeft + 18 + (index % 2 * ColumnWidth);
            var y = top + (index / 2 * RowHeight) + 16;
            parts.AddRange(items[index].Mark(x, y));
            parts.Add(SvgElement.Label(x + 24, y + 5, items[index].Words, TextSize));
        }

        var height = (items.Count + 1) / 2 * RowHeight;
        foreach (var line in WithoutSymbol(audiogram))
        {
            height += RowHeight;
            parts.Add(SvgElement.Label(AudiogramGrid.FrameLeft, top + height - 6, line, TextSize));
        }

        return (SvgElement.Group("legend", parts), height + 14);
    }

    private static IEnumerable<(string Words, Func<double, double, IEnumerable<SvgElement>> Mark)> Items(Audiogram audiogram)
    {
        var standing = Enum.GetValues<Ear>().Where(audiogram.Shows).SelectMany(audiogram.Standing).ToList();
        if (audiogram.Shows(Ear.Right))
        {
            yield return ("Right ear: O, solid line", (x, y) => AudiogramSymbols.Plain(Ear.Right, x, y, 8, Ink.Right, 2.4));
        }

        if (audiogram.Shows(Ear.Left))
        {
            yield return ("Left ear: X, dashed line", (x, y) => AudiogramSymbols.Plain(Ear.Left, x, y, 8, Ink.Left, 2.4));
        }

        if (FirstEar(standing, point => point.Outcome is ThresholdOutcome.NoResponseAtLimit) is { } silent)
        {
            yield return ("No response at this level", (x, y) => AudiogramSymbols.Arrow(silent, x - (silent == Ear.Right ? -8 : 8), y - 14, Ink.Of(silent)));
        }

        if (FirstEar(standing, point => point.Outcome is ThresholdOutcome.NoiseLimited) is { } limited)
        {
            yield return ("At or better: room noise", (x, y) => AudiogramSymbols.AtOrBetter(limited, x, y + 4, 6.5, Ink.Of(limited)));
        }

        if (AudiogramGrid.Hidden(audiogram.LowestProvable) is not null)
        {
            yield return ("Shaded: hidden by the room", (x, y) =>
            [
                SvgElement.Make("rect", ("x", x - 11), ("y", y - 8), ("width", 22), ("height", 16), ("fill", Ink.Hidden)),
                SvgElement.Line(x - 11, y + 8, x + 11, y + 8, Ink.HiddenEdge, 1.4, "2 3"),
            ]);
        }

        if (FirstEar(audiogram.Points.Where(point => audiogram.Shows(point.Ear)), point => point.Superseded && AudiogramSymbols.LevelOf(point.Outcome) is not null) is { } earlier)
        {
            yield return ("Small: earlier, since repeated", (x, y) => AudiogramSymbols.Plain(earlier, x, y, 5, Ink.Of(earlier), 1.2));
        }
    }

    private static IEnumerable<string> WithoutSymbol(Audiogram audiogram) =>
        from ear in Enum.GetValues<Ear>()
        where audiogram.Shows(ear)
        let missing = audiogram.Standing(ear).Where(point => point.Outcome is ThresholdOutcome.NotEstablished).Select(point => point.Frequency.Hertz).ToList()
        where missing.Count > 0
        select $"{OutcomeText.Name(ear)} ear, not established: {string.Join(", ", missing)} Hz";

    private static Ear? FirstEar(IEnumerable<AudiogramPoint> points, Func<AudiogramPoint, bool> wanted) =>
        points.Where(wanted).Select(point => (Ear?)point.Ear).FirstOrDefault();
}
