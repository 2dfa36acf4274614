using TeleHearing.Audiology;

namespace TeleHearing.Charts.Tests;

public sealed class KnownEarTests
{
    private static readonly DateTimeOffset _start = new(2026, 10, 1, 9, 0, 0, TimeSpan.Zero);

    [Fact]
    public void APointStandsAtItsShiftBesideTheLimits()
    {
        var drawing = KnownEarLayout.Draw(History(0, 10));

        var limits = drawing.WithClass("limit").Select(line => line.Number("y1")).Order().ToList();
        var circles = drawing.Flatten().Where(element => element.Name == "circle").ToList();
        Assert.Equal(4, limits.Count);
        Assert.Equal(limits[1], circles[1].Number("cy"), 2);
        // Zero lies in the middle of the two limits of 10 dB.
        Assert.Equal((limits[1] + limits[2]) / 2, circles[0].Number("cy"), 2);
        Assert.True(circles[1].Number("cx") > circles[0].Number("cx"));
    }

    [Fact]
    public void AnEarIsAShapeAndALetterAndNotOnlyAColour()
    {
        var drawing = KnownEarLayout.Draw(new KnownEarHistory("Checks", [new(_start, Ear.Right, 1000, 5, "E1"), new(_start, Ear.Left, 1000, -5, "E1")]));

        Assert.Single(drawing.WithClass("right")[0].Flatten(), element => element.Name == "circle");
        Assert.Equal(2, drawing.WithClass("left")[0].Flatten().Count(element => element.Name == "line"));
        Assert.Contains(drawing.Flatten(), element => element.Text == "R, right ear");
        Assert.Contains(drawing.Flatten(), element => element.Text == "1 Oct 2026, E1, left ear at 1000 Hz: \u22125 dB, within 10 dB");
    }

    [Fact]
    public void TheDescriptionSaysHowFarAndHowOften()
    {
        Assert.Equal("2 checks from 1 Oct 2026 to 8 Oct 2026. Largest shift +15 dB, right ear at 1000 Hz on 8 Oct 2026. 1 reached 10 dB or more.", KnownEarText.Describe(History(5, 15)));
        Assert.Equal("1 check from 1 Oct 2026 to 1 Oct 2026. Largest shift 0 dB, right ear at 1000 Hz on 1 Oct 2026. None reached 10 dB.", KnownEarText.Describe(History(0)));
        Assert.Equal("No checks yet.", KnownEarText.Describe(History()));
    }

    [Fact]
    public void AShiftBeyondTheUsualRangeStaysInsideTheDrawing()
    {
        var drawing = KnownEarLayout.Draw(History(0, 62));

        Assert.All(drawing.Flatten().Where(element => element.Name == "circle"), circle => Assert.InRange(circle.Number("cy"), 0, drawing.Number("height")));
    }

    [Fact]
    public void ManyChecksWriteNoDateOverAnother()
    {
        var drawing = KnownEarLayout.Draw(History([.. Enumerable.Repeat(0.0, 60)]));

        var dates = drawing.WithClass("dates")[0].Flatten().Where(element => element.Name == "text").Select(text => text.Number("x")).ToList();
        Assert.InRange(dates.Count, 2, 6);
        Assert.All(dates.Zip(dates.Skip(1)), pair => Assert.True(pair.Second - pair.First >= 80));
        Assert.Equal("svg", KnownEarLayout.Draw(History()).Name);
    }

    private static KnownEarHistory History(params double[] shifts) => new("Checks", [.. shifts.Select((shift, index) => new KnownEarPoint(_start.AddDays(7 * index), Ear.Right, 1000, shift, "E1"))]);
}
