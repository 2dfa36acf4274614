using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using static TeleHearing.Charts.Tests.Drawings;

namespace TeleHearing.Charts.Tests;

/// <summary>Every kind of measurement against the table of symbols (<see cref="PublishedSymbol"/>).</summary>
public sealed class AudiogramKindTests
{
    private const double LineX = 340;

    /// <summary>What the words of the table mean for the corners of a shape that is drawn in one stroke, and how many corners it has.</summary>
    private static readonly Dictionary<string, (int Corners, Func<List<(double X, double Y)>, bool> Holds)> _shapes = new()
    {
        ["△"] = (3, corners => corners[0].Y < corners[1].Y && corners[1].Y == corners[2].Y && Math.Abs(((corners[1].X + corners[2].X) / 2) - corners[0].X) < 0.1),
        ["□"] = (4, corners => Sides(corners).All(side => Math.Abs(side - Sides(corners)[0]) < 0.1)),
        ["<"] = (3, corners => corners[1].X < corners[0].X && corners[1].X < corners[2].X && corners[0].Y < corners[1].Y && corners[1].Y < corners[2].Y),
        [">"] = (3, corners => corners[1].X > corners[0].X && corners[1].X > corners[2].X && corners[0].Y < corners[1].Y && corners[1].Y < corners[2].Y),
        ["["] = (4, corners => corners[1].X == corners[2].X && corners[0].X > corners[1].X && corners[3].X > corners[2].X),
        ["]"] = (4, corners => corners[1].X == corners[2].X && corners[0].X < corners[1].X && corners[3].X < corners[2].X),
        ["∨"] = (3, corners => corners[1].Y > corners[0].Y && corners[1].Y > corners[2].Y),
        ["┐"] = (3, corners => corners[0].Y == corners[1].Y && corners[0].X < corners[1].X && corners[1].X == corners[2].X && corners[2].Y > corners[1].Y),
        ["┌"] = (3, corners => corners[0].Y == corners[1].Y && corners[0].X > corners[1].X && corners[1].X == corners[2].X && corners[2].Y > corners[1].Y),
    };

    public static TheoryData<PublishedSymbol, Ear> Kinds() =>
        [.. from symbol in PublishedSymbols.Read() from ear in symbol.Ears select (symbol, ear)];

    [Fact]
    public void TheTableHasAllElevenSymbolsForEarphonesAndVibrators() => Assert.Equal(11, PublishedSymbols.Read().Count);

    [Theory]
    [MemberData(nameof(Kinds))]
    public void EveryKindHasItsPublishedShapeAndColour(PublishedSymbol published, Ear ear)
    {
        var point = Assert.Single(Draw(Kind(published, ear, new ThresholdOutcome.Established(40))).WithClass("point"));

        var strokes = point.Flatten().Where(element => element["stroke"] is not null).ToList();
        Assert.All(strokes, stroke => Assert.Equal(published.Colour, ColourName(stroke["stroke"]!)));
        if (_shapes.TryGetValue(published.Glyph, out var shape))
        {
            var corners = Corners(Assert.Single(strokes));
            Assert.Equal(shape.Corners, corners.Count);
            Assert.True(shape.Holds(corners), $"{published.Name} drawn at {string.Join(" ", corners)}");
            Assert.Equal(published.Glyph is "△" or "□" ? "polygon" : "polyline", strokes[0].Name);
        }
        else
        {
            Assert.Equal(published.Glyph == "O" ? ["circle"] : ["line", "line"], strokes.Select(stroke => stroke.Name));
        }
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void EveryKindHasItsPublishedArrow(PublishedSymbol published, Ear ear)
    {
        var point = Assert.Single(Draw(Kind(published, ear, new ThresholdOutcome.NoResponseAtLimit(60))).WithClass("point"));

        var arrow = Assert.Single(point.WithClass("arrow"));
        var across = arrow.Number("x2") - arrow.Number("x1");
        Assert.True(arrow.Number("y2") - arrow.Number("y1") > 10, "the arrow should point down");
        Assert.Equal(published.NoResponse.Contains("down-left", StringComparison.Ordinal) ? -1 : published.NoResponse.Contains("down-right", StringComparison.Ordinal) ? 1 : 0, Math.Sign(Math.Round(across, 3)));
    }

    [Theory]
    [MemberData(nameof(Kinds))]
    public void EveryKindHasAnOutlineWithAWhiskerUpWhereTheRoomHidTheRest(PublishedSymbol published, Ear ear)
    {
        var point = Assert.Single(Draw(Kind(published, ear, new ThresholdOutcome.NoiseLimited(30))).WithClass("noise-limited"));

        var whisker = Assert.Single(point.WithClass("whisker"));
        Assert.True(whisker.Number("y2") < whisker.Number("y1"));
        Assert.True(whisker.Number("y1") < AudiogramScale.Y(30));
        Assert.Contains(point.Flatten(), element => element["stroke"] == "#ffffff");
    }

    /// <summary>Common practice: the audiogram is looked at as a face is, the right ear on the left.</summary>
    [Theory]
    [InlineData(ConductionRoute.BoneMastoid, false)]
    [InlineData(ConductionRoute.BoneMastoid, true)]
    [InlineData(ConductionRoute.BoneForehead, true)]
    public void SymbolsByBoneStandBesideTheLineAndClearOfThoseByAir(ConductionRoute route, bool masked)
    {
        foreach (var (ear, side) in new[] { (Ear.Right, -1), (Ear.Left, 1) })
        {
            var point = Assert.Single(Draw(Threshold(ear, 1000, 40) with { Route = route, Masked = masked }).WithClass("point"));
            Assert.All(Corners(point.Children.Single(child => child.Name == "polyline")), corner => Assert.True((corner.X - LineX) * side > AudiogramSymbols.Radius, $"{corner}"));
        }

        Assert.Equal(LineX, AudiogramScale.X(1000d), 6);
    }

    [Fact]
    public void ShapesAreCentredOnTheirLevel()
    {
        foreach (var (published, ear) in from symbol in PublishedSymbols.Read() where symbol.Glyph is not ("O" or "X") from ear in symbol.Ears select (symbol, ear))
        {
            var corners = Corners(Assert.Single(Draw(Kind(published, ear, new ThresholdOutcome.Established(40))).WithClass("point")).Children.Single(child => child.Name is "polyline" or "polygon"));

            // A triangle hangs on its centre of mass, the others on the middle of their height.
            var middle = corners.Count == 3 && published.Glyph == "△" ? corners.Average(corner => corner.Y) : (corners.Min(corner => corner.Y) + corners.Max(corner => corner.Y)) / 2;
            Assert.Equal(AudiogramScale.Y(40), middle, 1);
        }
    }

    private static AudiogramPoint Kind(PublishedSymbol published, Ear ear, ThresholdOutcome outcome) => At(ear, 1000, outcome) with { Route = published.Route, Masked = published.Masked };

    private static List<(double X, double Y)> Corners(SvgElement element) =>
    [
        .. element["points"]!.Split(' ').Select(corner => corner.Split(',')).Select(pair => (double.Parse(pair[0], CultureInfo.InvariantCulture), double.Parse(pair[1], CultureInfo.InvariantCulture))),
    ];

    private static List<double> Sides(List<(double X, double Y)> corners) =>
        [.. corners.Select((corner, index) => (corner, next: corners[(index + 1) % corners.Count])).Select(side => Math.Sqrt(Math.Pow(side.next.X - side.corner.X, 2) + Math.Pow(side.next.Y - side.corner.Y, 2)))];

    private static string ColourName(string colour)
    {
        var channels = Enumerable.Range(0, 3).Select(index => Convert.ToInt32(colour.Substring(1 + (2 * index), 2), 16)).ToList();
        return channels.Max() - channels.Min() < 40 ? "black" : channels[0] == channels.Max() ? "red" : channels[2] == channels.Max() ? "blue" : colour;
    }
}
