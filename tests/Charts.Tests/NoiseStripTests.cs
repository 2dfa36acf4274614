using TeleHearing.Audiology.Noise;

namespace TeleHearing.Charts.Tests;

public sealed class NoiseStripTests
{
    [Fact]
    public void WordsNameWhatIsOverAndCountWhatCannotBeTold()
    {
        Assert.Equal("All 2 bands are within their limits.", NoiseStripText.Describe(Strip((20, NoiseVerdict.QuietEnough), (30, NoiseVerdict.QuietEnough))));
        Assert.Equal("1 of 3 bands over the limit: 125 Hz by 6 dB. 1 cannot be told from the microphone's own noise.", NoiseStripText.Describe(Strip((20, NoiseVerdict.QuietEnough), (46, NoiseVerdict.TooLoud), (10, NoiseVerdict.NotVerifiable))));
        Assert.Equal("1 of 2 bands are within their limits. 1 cannot be told from the microphone's own noise.", NoiseStripText.Describe(Strip((20, NoiseVerdict.QuietEnough), (10, NoiseVerdict.NotVerifiable))));
        Assert.Equal("There are no limits to hold the room against.", NoiseStripText.Describe(new NoiseStrip("Room", [new(1000, 30, null, NoiseVerdict.NoLimit, false)])));
    }

    [Fact]
    public void WhatAColourSaysAShapeSaysToo()
    {
        var drawing = NoiseStripLayout.Draw(Strip((20, NoiseVerdict.QuietEnough), (46, NoiseVerdict.TooLoud), (10, NoiseVerdict.NotVerifiable)));

        Assert.Contains(Assert.Single(drawing.Flatten(), element => element["class"] == "band over").Flatten(), element => element.Text == "▲");
        Assert.Equal("#ffffff", Assert.Single(drawing.Flatten(), element => element["class"] == "bar unknown")["fill"]);
        Assert.Equal(3, drawing.WithClass("limit").Count);
        Assert.Single(drawing.WithClass("bears"));
    }

    [Fact]
    public void TheScaleStandsStillWhateverIsHeard()
    {
        var quiet = NoiseStripLayout.Draw(Strip((0, NoiseVerdict.QuietEnough)));
        var loud = NoiseStripLayout.Draw(Strip((500, NoiseVerdict.TooLoud)));

        Assert.Equal(quiet["viewBox"], loud["viewBox"]);
        Assert.Equal(quiet.WithClass("limit")[0].Number("y1"), loud.WithClass("limit")[0].Number("y1"));
        Assert.True(Assert.Single(loud.Flatten(), element => element["class"] == "bar over").Number("height") <= 74);
    }

    private static NoiseStrip Strip(params (double Level, NoiseVerdict Verdict)[] bands) =>
        new("Room", [.. bands.Select((band, index) => new NoiseStripBand(new[] { 63.0, 125, 250 }[index], band.Level, 40, band.Verdict, index == 0))]);
}
