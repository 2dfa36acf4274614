using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using static TeleHearing.Charts.Tests.Drawings;

namespace TeleHearing.Charts.Tests;

public sealed class ChartComponentTests : BunitContext
{
    private static readonly Audiogram _model = new("Both ears", [Threshold(Ear.Right, 1000, 20), At(Ear.Left, 2000, new ThresholdOutcome.NoiseLimited(25))]);

    [Fact]
    public void ThePageShowsTheSameDrawingAsTheFile()
    {
        var shown = Render<AudiogramChart>(parameters => parameters.Add(chart => chart.Model, _model));

        var names = shown.Find("svg").QuerySelectorAll("*").Select(element => element.LocalName).ToList();
        Assert.Equal(Parse(AudiogramSvg.Render(_model)).Root!.Descendants().Select(element => element.Name.LocalName), names);
        Assert.Equal("img", shown.Find("svg").GetAttribute("role"));
    }

    [Fact]
    public void APointMeasuredSeveralTimesToTheSameLevelIsDrawnAgainWithoutFault()
    {
        var earlier = At(Ear.Right, 1000, new ThresholdOutcome.Established(20), superseded: true);
        var shown = Render<AudiogramChart>(parameters => parameters.Add(chart => chart.Model, new Audiogram("Retests", [earlier, Threshold(Ear.Right, 1000, 20)])));

        shown.Render(parameters => parameters.Add(chart => chart.Model, new Audiogram("Retests", [earlier, earlier, earlier, Threshold(Ear.Right, 1000, 20)])));

        Assert.Equal(3, shown.FindAll(".superseded").Count);
    }

    [Fact]
    public void NoTwoNeighboursInTheDrawingShareAnIdentity() =>
        Assert.All(
            AudiogramLayout.Draw(new Audiogram("All kinds", [.. _model.Points, .. _model.Points, .. _model.Points.Select(point => point with { Superseded = true }), .. _model.Points.Select(point => point with { Superseded = true })])).Flatten(),
            element => Assert.Equal(element.Children.Count(child => child.Key is not null), element.Children.Where(child => child.Key is not null).Select(child => child.Key).Distinct().Count()));

    [Fact]
    public void TheTableSaysWhatTheChartShows()
    {
        var table = Render<AudiogramTable>(parameters => parameters.Add(chart => chart.Model, _model));

        var rows = table.FindAll("tbody tr").Select(row => string.Join("|", row.Children.Select(cell => cell.TextContent))).ToList();
        Assert.Equal(["1000 Hz|20 dB HL|not tested", "2000 Hz|not tested|at or better than 25 dB HL; the room hid anything lower"], rows);
    }

    [Fact]
    public void TheNoiseTableNamesTheBandsOverTheirLimit()
    {
        var spectrum = new NoiseSpectrum("Room", [new(250, 41.5), new(500, 12)], [new(250, 39), new(500, 34)]);

        var table = Render<NoiseSpectrumTable>(parameters => parameters.Add(chart => chart.Model, spectrum));

        Assert.Equal(["over by 2.5 dB", "within the limit"], table.FindAll("tbody td:last-child").Select(cell => cell.TextContent));
    }
}
