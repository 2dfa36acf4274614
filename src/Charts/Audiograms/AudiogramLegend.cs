using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts;

/// <summary>The explanation under the chart: what is drawn, and nothing else, in words, and what could not be drawn. The right ear's symbols stand on the left, the left ear's on the right.</summary>
internal static class AudiogramLegend
{
    private const double RowHeight = 31;
    private const double ColumnWidth = 272;
    private const double TextSize = 16.5;
    private const double MarkRadius = 8;

    private sealed record Item(string Words, Func<double, double, IEnumerable<SvgElement>> Mark);

    /// <summary>Draws it.</summary>
    /// <param name="audiogram">What the chart shows.</param>
    /// <param name="top">Where it begins, drawing units from the top.</param>
    /// <param name="textScale">How much larger than usual the words are.</param>
    public static (SvgElement Drawing, double Height) Draw(Audiogram audiogram, double top, double textScale)
    {
        List<SvgElement> parts = [];
        var rowHeight = RowHeight * textScale;
        var row = 0;
        foreach (var (left, right) in Rows(audiogram))
        {
            var y = top + (row++ * rowHeight) + 16;
            parts.AddRange(Place(left, 0, y, textScale));
            parts.AddRange(Place(right, 1, y, textScale));
        }

        var height = row * rowHeight;
        foreach (var line in WithoutSymbol(audiogram))
        {
            height += rowHeight;
            parts.Add(SvgElement.Label(AudiogramGrid.FrameLeft, top + height - 6, line, TextSize * textScale));
        }

        return (SvgElement.Group("legend", parts), height + 14);
    }

    private static IEnumerable<SvgElement> Place(Item? item, int column, double y, double textScale)
    {
        if (item is null)
        {
            return [];
        }

        var x = AudiogramGrid.FrameLeft + 18 + (column * ColumnWidth * textScale);
        return [.. item.Mark(x, y), SvgElement.Label(x + 24, y + 5, item.Words, TextSize * textScale)];
    }

    private static IEnumerable<(Item? Left, Item? Right)> Rows(Audiogram audiogram)
    {
        var drawn = audiogram.Points.Where(point => audiogram.Shows(point.Ear) && AudiogramSymbols.LevelOf(point.Outcome) is not null).ToList();
        var kinds = Kinds(audiogram, drawn).ToList();
        var others = Others(audiogram, drawn);

        // With a single ear, a column for each would leave one of them empty.
        var oneEar = kinds.All(kind => kind.Right is null) || kinds.All(kind => kind.Left is null);
        return oneEar ? InTwoColumns([.. kinds.SelectMany(kind => new[] { kind.Right, kind.Left }).OfType<Item>(), .. others]) : [.. kinds, .. InTwoColumns(others)];
    }

    private static IEnumerable<(Item? Left, Item? Right)> InTwoColumns(IEnumerable<Item> items) =>
        items.Chunk(2).Select(pair => ((Item?)pair[0], pair.ElementAtOrDefault(1)));

    /// <summary>A row for each kind of measurement that is drawn; while nothing is, for the kind that will come first.</summary>
    private static IEnumerable<(Item? Right, Item? Left)> Kinds(Audiogram audiogram, List<AudiogramPoint> drawn)
    {
        foreach (var (route, masked) in from route in Enum.GetValues<ConductionRoute>() from masked in new[] { false, true } where masked || route != ConductionRoute.BoneForehead select (route, masked))
        {
            var first = drawn.Count == 0 && route == ConductionRoute.Air && !masked;
            Item? Kind(Ear ear) => audiogram.Shows(ear) && (first || drawn.Exists(point => (point.Ear, point.Route, point.Masked) == (ear, route, masked)))
                ? new Item(Words(ear, route, masked), (x, y) => SymbolForm.Of(ear, route, masked).Draw(x, y, MarkRadius, new Pen(Ink.Of(ear), 2.4)))
                : null;
            if ((Kind(Ear.Right), Kind(Ear.Left)) is var kind && (kind.Item1 ?? kind.Item2) is not null)
            {
                yield return kind;
            }
        }
    }

    private static string Words(Ear ear, ConductionRoute route, bool masked)
    {
        var form = SymbolForm.Of(ear, route, masked);
        return (route, masked) switch
        {
            (ConductionRoute.Air, false) => $"{OutcomeText.Name(ear)} ear: {form.Glyph}, {(ear == Ear.Right ? "solid" : "dashed")} line",
            (ConductionRoute.Air, true) => $"{OutcomeText.Name(ear)} ear, masked: {form.Name}",
            (ConductionRoute.BoneForehead, _) => $"{OutcomeText.Name(ear)}, forehead, masked: {form.Glyph}",
            (_, false) => $"{OutcomeText.Name(ear)} ear, bone: {form.Glyph}",
            _ => $"{OutcomeText.Name(ear)} ear, bone, masked: {form.Glyph}",
        };
    }

    private static IEnumerable<Item> Others(Audiogram audiogram, List<AudiogramPoint> drawn)
    {
        var standing = Enum.GetValues<Ear>().Where(audiogram.Shows).SelectMany(audiogram.Standing).Where(point => !audiogram.IsOutranked(point)).ToList();
        if (drawn.Exists(point => point is { Route: ConductionRoute.BoneForehead, Masked: false }))
        {
            yield return new Item("Forehead, either ear: V", (x, y) => SymbolForm.Of(Ear.Right, ConductionRoute.BoneForehead, masked: false).Draw(x, y, MarkRadius, new Pen(Ink.Text, 2.4)));
        }

        if (standing.Find(point => point.Outcome is ThresholdOutcome.NoResponseAtLimit) is { } silent)
        {
            var form = SymbolForm.Of(silent.Ear, silent.Route, silent.Masked);
            yield return new Item("No response at this level", (x, y) => AudiogramSymbols.Arrow(form, x - form.Foot.X - (form.Lean * 7), y - form.Foot.Y - 8, ColourOf(silent)));
        }

        if (standing.Find(point => point.Outcome is ThresholdOutcome.NoiseLimited) is { } limited)
        {
            yield return new Item("At or better: room noise", (x, y) => AudiogramSymbols.AtOrBetter(SymbolForm.Of(limited.Ear, limited.Route, limited.Masked), x, y + 4, 6.5, ColourOf(limited)));
        }

        if (standing.Find(point => point.Estimate && AudiogramSymbols.LevelOf(point.Outcome) is not null) is { } estimate)
        {
            yield return new Item("Broken outline: estimate", (x, y) => SymbolForm.Of(estimate.Ear, estimate.Route, estimate.Masked).Draw(x, y, MarkRadius, new Pen(ColourOf(estimate), 2.4, Broken: true)));
        }

        var barred = standing.Where(point => point.Interval is { IsUsable: true } && AudiogramSymbols.LevelOf(point.Outcome) is not null).ToList();
        if (barred.Count > 0)
        {
            var shares = barred.Select(point => point.Interval!.Share).Distinct().ToList();
            yield return new Item(shares.Count == 1 ? $"{OutcomeText.Number(100 * shares[0])} % credible interval" : "Credible interval", (x, y) => IntervalBars.Sample(x, y, ColourOf(barred[0])));
        }

        if (AudiogramGrid.Hidden(audiogram.LowestProvable) is not null)
        {
            yield return new Item("Shaded: hidden by the room", (x, y) =>
            [
                SvgElement.Make("rect", ("x", x - 11), ("y", y - 8), ("width", 22), ("height", 16), ("fill", Ink.Hidden)),
                SvgElement.Line(x - 11, y + 8, x + 11, y + 8, Ink.HiddenEdge, 1.4, "2 3"),
            ]);
        }

        if (drawn.Find(point => point.Superseded && !audiogram.IsSinceMasked(point)) is { } earlier)
        {
            yield return new Item("Small: since repeated", (x, y) => Small(earlier, x, y));
        }

        if (drawn.Find(audiogram.IsSinceMasked) is { } unmasked)
        {
            yield return new Item("Small: since masked", (x, y) => Small(unmasked, x, y));
        }
    }

    private static IEnumerable<SvgElement> Small(AudiogramPoint point, double x, double y) =>
        SymbolForm.Of(point.Ear, point.Route, point.Masked).Draw(x, y, 5, new Pen(ColourOf(point), 1.3));

    private static string ColourOf(AudiogramPoint point) => SymbolForm.ColourOf(point.Ear, point.Route, point.Masked);

    private static IEnumerable<string> WithoutSymbol(Audiogram audiogram) =>
        from ear in Enum.GetValues<Ear>()
        where audiogram.Shows(ear)
        from kind in audiogram.Standing(ear).Where(point => point.Outcome is ThresholdOutcome.NotEstablished).GroupBy(point => (point.Route, point.Masked))
        select $"{Missing(kind.First())}, not established: {string.Join(", ", kind.Select(point => point.Frequency.Hertz))} Hz";

    private static string Missing(AudiogramPoint point) =>
        point is { Route: ConductionRoute.Air, Masked: false } ? $"{OutcomeText.Name(point.Ear)} ear" : PointText.Series(point);
}
