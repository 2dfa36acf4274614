using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Charts.Tests;

public sealed class NoiseSpectrumTests
{
    private static readonly BandLimit[] _limits = [new(250, 39), new(500, 34), new(1000, 37)];

    [Fact]
    public void ABandOverItsLimitIsNamedInWordsAndMarkedOnTheBar()
    {
        var spectrum = new NoiseSpectrum("Room", [new(250, 45), new(500, 20), new(1000, 37)], _limits);

        Assert.Equal("1 of 3 third-octave bands are over their limit: 250 Hz by 6 dB.", NoiseSpectrumText.Describe(spectrum));
        var over = Assert.Single(NoiseSpectrumLayout.Draw(spectrum).Flatten(), element => element["class"] == "band over");
        Assert.Contains(over.Flatten(), element => element.Text == "over");
    }

    [Fact]
    public void ABarIsAsTallAsItsLevelAndTheLimitLineStandsAtTheLimit()
    {
        var drawing = NoiseSpectrumLayout.Draw(new NoiseSpectrum("Room", [new(250, 39), new(500, 20)], _limits));

        var bars = drawing.WithClass("bar");
        var limits = drawing.WithClass("limit");
        Assert.Equal(bars[0].Number("y"), limits[0].Number("y1"), 2);
        Assert.Equal((39 - 20) * (limits[1].Number("y1") - limits[0].Number("y1")) / 5, bars[1].Number("y") - bars[0].Number("y"), 1);
    }

    [Fact]
    public void BandsWithoutALimitAreDrawnAndSaidSo()
    {
        var spectrum = new NoiseSpectrum("Room", [new BandLevel(31.5, 50)], []);

        Assert.Equal("1 third-octave bands measured; no limits to hold them against.", NoiseSpectrumText.Describe(spectrum));
        Assert.Empty(NoiseSpectrumLayout.Draw(spectrum).WithClass("limit"));
    }

    [Fact]
    public void AnEmptyMeasurementIsDrawnWithoutFault()
    {
        var spectrum = new NoiseSpectrum("Room", [], _limits);

        Assert.Equal("No bands measured.", NoiseSpectrumText.Describe(spectrum));
        Assert.Equal("svg", NoiseSpectrumLayout.Draw(spectrum).Name);
    }
}
