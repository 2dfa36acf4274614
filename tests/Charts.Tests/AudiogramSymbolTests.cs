using TeleHearing.Audiology;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using static TeleHearing.Charts.Tests.Drawings;

namespace TeleHearing.Charts.Tests;

/// <summary>Symbols of ASHA 1990 and ISO 8253-1 (shapes and arrows confirmed against 21 NCAC 22I .0111; colours by common practice).</summary>
public sealed class AudiogramSymbolTests
{
    [Fact]
    public void TheRightEarIsARedCircleAtItsFrequencyAndLevel()
    {
        var point = Assert.Single(Draw(Threshold(Ear.Right, 1000, 40)).WithClass("point"));

        var circle = Assert.Single(point.Children, child => child.Name == "circle");
        Assert.Equal(AudiogramScale.X(1000d), circle.Number("cx"), 2);
        Assert.Equal(AudiogramScale.Y(40), circle.Number("cy"), 2);
        Assert.True(IsMostly(circle["stroke"]!, channel: 0), "the circle should be red");
    }

    [Fact]
    public void TheLeftEarIsABlueCrossCentredOnItsFrequencyAndLevel()
    {
        var point = Assert.Single(Draw(Threshold(Ear.Left, 500, 25)).WithClass("point"));

        Assert.DoesNotContain(point.Children, child => child.Name == "circle");
        var strokes = point.Children.Where(child => child.Name == "line").ToList();
        Assert.Equal(2, strokes.Count);
        foreach (var stroke in strokes)
        {
            Assert.Equal(AudiogramScale.X(500d), (stroke.Number("x1") + stroke.Number("x2")) / 2, 2);
            Assert.Equal(AudiogramScale.Y(25), (stroke.Number("y1") + stroke.Number("y2")) / 2, 2);
            Assert.True(IsMostly(stroke["stroke"]!, channel: 2), "the cross should be blue");
        }
    }

    [Theory]
    [InlineData(Ear.Right, -1)]
    [InlineData(Ear.Left, 1)]
    public void NoResponseIsAnArrowDownAndOutwardFromTheSymbol(Ear ear, int side)
    {
        var drawing = Draw(At(ear, 4000, new ThresholdOutcome.NoResponseAtLimit(100)));

        var arrow = Assert.Single(Assert.Single(drawing.WithClass("point")).WithClass("arrow"));
        var (across, down) = (arrow.Number("x2") - arrow.Number("x1"), arrow.Number("y2") - arrow.Number("y1"));
        Assert.Equal(side, Math.Sign(across));
        Assert.True(down > 0);
        Assert.Equal(Math.Abs(across), down, 1);
        Assert.Equal(side, Math.Sign(arrow.Number("x1") - AudiogramScale.X(4000d)));
    }

    [Fact]
    public void NoLineRunsToOrThroughANoResponse()
    {
        var joins = Draw(
            Threshold(Ear.Right, 1000, 40),
            At(Ear.Right, 2000, new ThresholdOutcome.NoResponseAtLimit(120)),
            Threshold(Ear.Right, 4000, 60),
            Threshold(Ear.Right, 8000, 65)).WithClass("join");

        var join = Assert.Single(joins);
        Assert.True(join.Number("x1") > AudiogramScale.X(4000d));
        Assert.True(join.Number("x2") < AudiogramScale.X(8000d));
    }

    [Theory]
    [MemberData(nameof(OutcomesWithoutAThreshold))]
    public void NothingButThresholdsIsJoined(ThresholdOutcome between)
    {
        var drawing = Draw(Threshold(Ear.Left, 500, 10), At(Ear.Left, 1000, between), Threshold(Ear.Left, 2000, 20));

        Assert.Empty(drawing.WithClass("join"));
    }

    public static TheoryData<ThresholdOutcome> OutcomesWithoutAThreshold() =>
        [new ThresholdOutcome.NoResponseAtLimit(110), new ThresholdOutcome.NoiseLimited(25), new ThresholdOutcome.NotEstablished("The search did not settle.")];

    [Fact]
    public void RightIsJoinedSolidAndLeftDashed()
    {
        var drawing = Draw(Threshold(Ear.Right, 500, 10), Threshold(Ear.Right, 1000, 15), Threshold(Ear.Left, 500, 30), Threshold(Ear.Left, 1000, 35));

        Assert.Null(Assert.Single(drawing.WithClass("join"), join => join.Number("y1") < AudiogramScale.Y(20))["stroke-dasharray"]);
        Assert.NotNull(Assert.Single(drawing.WithClass("join"), join => join.Number("y1") > AudiogramScale.Y(20))["stroke-dasharray"]);
    }

    [Fact]
    public void ANoiseLimitedResultIsOutlinedAtTheBoundWithAWhiskerUpAndIsExplained()
    {
        var drawing = Draw(At(Ear.Right, 250, new ThresholdOutcome.NoiseLimited(25)));

        var point = Assert.Single(drawing.WithClass("noise-limited"));
        Assert.Equal(2, point.Children.Count(child => child.Name == "circle"));
        Assert.All(point.Children.Where(child => child.Name == "circle"), circle => Assert.Equal(AudiogramScale.Y(25), circle.Number("cy"), 2));
        var whisker = Assert.Single(point.WithClass("whisker"));
        Assert.True(whisker.Number("y2") < whisker.Number("y1"));
        Assert.Contains(drawing.WithClass("legend").Single().Flatten(), element => element.Text == "At or better: room noise");
    }

    [Fact]
    public void AResultThatWasNotEstablishedHasNoSymbolButIsNamedUnderTheChart()
    {
        var drawing = Draw(At(Ear.Left, 6000, new ThresholdOutcome.NotEstablished("The search did not settle.")));

        Assert.Empty(drawing.WithClass("point"));
        Assert.Contains(drawing.Flatten(), element => element.Text == "Left ear, not established: 6000 Hz");
    }

    [Fact]
    public void AnEarlierMeasurementIsSmallerAndNotJoined()
    {
        var drawing = Draw(
            At(Ear.Right, 1000, new ThresholdOutcome.Established(40), superseded: true),
            Threshold(Ear.Right, 1000, 30),
            Threshold(Ear.Right, 2000, 30));

        Assert.Single(drawing.WithClass("join"));
        var earlier = Assert.Single(drawing.WithClass("superseded")).Children.Single(child => child.Name == "circle");
        var standing = drawing.WithClass("established")[0].Children.Single(child => child.Name == "circle");
        Assert.True(earlier.Number("r") < standing.Number("r"));
    }

    [Fact]
    public void OneEarIsShownAloneWhenAsked()
    {
        var both = new Audiogram("Both ears", [Threshold(Ear.Right, 1000, 20), Threshold(Ear.Left, 1000, 50)]);

        Assert.Equal(2, AudiogramLayout.Draw(both).WithClass("point").Count);
        Assert.Contains("right", Assert.Single(AudiogramLayout.Draw(both with { Ears = EarFilter.RightOnly }).WithClass("point"))["class"]!.Split(' '));
        Assert.Contains("left", Assert.Single(AudiogramLayout.Draw(both with { Ears = EarFilter.LeftOnly }).WithClass("point"))["class"]!.Split(' '));
    }

    [Fact]
    public void TheTwoEarsAreDrawnAlikeApartFromTheirSymbols()
    {
        int[] frequencies = [500, 1000, 2000, 4000];
        var right = AudiogramLayout.Draw(new Audiogram("Right", [.. frequencies.Select(hertz => Threshold(Ear.Right, hertz, 30))]));
        var left = AudiogramLayout.Draw(new Audiogram("Left", [.. frequencies.Select(hertz => Threshold(Ear.Left, hertz, 30))]));

        static IEnumerable<(string?, string?, string?, string?)> Joins(SvgElement drawing) =>
            drawing.WithClass("join").Select(join => (join["x1"], join["y1"], join["x2"], join["y2"]));
        Assert.Equal(Joins(right), Joins(left));
        Assert.Equal(right.WithClass("point").Count, left.WithClass("point").Count);
    }

    [Fact]
    public void TheShadingEndsAtTheLowestLevelTheRoomLetTheTestProve()
    {
        var drawing = AudiogramLayout.Draw(new Audiogram("Noisy", [])
        {
            LowestProvable = [new(250, 30, true, 250), new(500, -10, true, 500), new(1000, 10, true, 1000)],
        });

        var blocks = drawing.WithClass("hidden-by-noise").Single().Flatten().Where(element => element.Name == "rect").ToList();
        Assert.Equal([AudiogramScale.Y(30), AudiogramScale.Y(10)], blocks.Select(block => block.Number("y") + block.Number("height")));
        Assert.Contains(drawing.Flatten(), element => element.Text == "Shaded: hidden by the room");
    }

    private static bool IsMostly(string colour, int channel)
    {
        var channels = Enumerable.Range(0, 3).Select(index => Convert.ToInt32(colour.Substring(1 + (2 * index), 2), 16)).ToList();
        return channels.Index().All(pair => pair.Index == channel || channels[channel] > pair.Item + 60);
    }
}
