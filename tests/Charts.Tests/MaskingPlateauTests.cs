using Bunit;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using static TeleHearing.Charts.Tests.Drawings;

namespace TeleHearing.Charts.Tests;

public sealed class MaskingPlateauTests : BunitContext
{
    private static readonly MaskingPlateau _found = new("Masking", Ear.Left, ConductionRoute.Air, 2000, [new(10, 60), new(20, 70), new(30, 70), new(40, 70), new(50, 80)])
    {
        UnmaskedDbHl = 55,
        MinimumDbEm = 20,
        OverMaskingFromDbEm = 45,
        Verdict = MaskingVerdict.Plateau,
        FinalDbEm = 40,
        Outcome = new ThresholdOutcome.Established(70),
        Reason = "The threshold stood at 70 dB HL.",
    };

    private static readonly MaskingPlateau _live = _found with { Points = [.. _found.Points.Take(3)], Verdict = null, FinalDbEm = null, Outcome = null, Reason = null, Next = new(70, 40, "Heard: raise the masker.") };

    [Fact]
    public void ADecibelIsAsWideAsItIsTallSoThatTheSlopeIsADiagonal()
    {
        var joins = MaskingPlateauLayout.Draw(_found).WithClass("join");

        var slope = joins[0];
        Assert.Equal(slope.Number("x2") - slope.Number("x1"), slope.Number("y2") - slope.Number("y1"), 1);
        Assert.True(slope.Number("y2") > slope.Number("y1"), "a poorer threshold lies lower");
        Assert.Equal(joins[1]["y1"], joins[1]["y2"]);
        Assert.Equal(4, joins.Count);
    }

    [Fact]
    public void SlopePlateauAndSecondRiseAreZonesWithNumbersThatTheWordsExplain()
    {
        var drawing = MaskingPlateauLayout.Draw(_found);

        Assert.Equal(["undermasked", "plateau", "overmasked"], drawing.WithClass("zone").Select(zone => zone["class"]!.Split(' ')[1]));
        var zones = drawing.WithClass("zone").Select(zone => zone.Children.First(child => child.Name == "rect")).ToList();
        Assert.All(zones.Zip(zones.Skip(1)), pair => Assert.Equal(pair.First.Number("x") + pair.First.Number("width"), pair.Second.Number("x"), 1));
        foreach (var dot in drawing.WithClass("dot"))
        {
            var place = dot.Flatten().Single(element => element.Name == "circle").Number("cx");
            var zone = drawing.WithClass("zone").Single(one => one["class"]!.EndsWith(dot["class"]!.Split(' ')[1], StringComparison.Ordinal)).Children.First(child => child.Name == "rect");
            Assert.InRange(place, zone.Number("x"), zone.Number("x") + zone.Number("width"));
        }

        var words = Texts(drawing);
        Assert.All(drawing.WithClass("zone"), zone => Assert.Contains(zone.Children.Single(child => child.Name == "text").Text![..1], new[] { "1", "2", "3" }));
        Assert.Contains("1 undermasked: the other ear still answers", words);
        Assert.Contains("2 plateau: the ear under test answers", words);
        Assert.Contains("3 overmasked: the masker reaches this ear", words);
        Assert.Contains("Plateau found: 70 dB HL", words);
        Assert.Contains("70 dB HL", words);
    }

    [Fact]
    public void TheBoundsOfTheMaskerStandAtTheirLevels()
    {
        var drawing = MaskingPlateauLayout.Draw(_found);
        var dots = drawing.WithClass("dot").Select(dot => dot.Flatten().Single(element => element.Name == "circle").Number("cx")).ToList();

        Assert.Equal(dots[1], BoundAt(drawing, "minimum"), 1);
        Assert.Equal((dots[3] + dots[4]) / 2, BoundAt(drawing, "over-masking"), 1);
        Assert.Empty(MaskingPlateauLayout.Draw(_found with { MinimumDbEm = null, OverMaskingFromDbEm = null }).WithClass("bound"));
        Assert.Contains("a dilemma by the formulas", string.Join(" ", MaskingPlateauText.Bounds(_found with { MinimumDbEm = 70 })), StringComparison.Ordinal);
    }

    [Fact]
    public void WhileItIsBeingFoundTheNextMoveIsShownAndTold()
    {
        var drawing = MaskingPlateauLayout.Draw(_live);

        Assert.Single(drawing.WithClass("next"));
        Assert.Empty(drawing.WithClass("zone"));
        Assert.Contains("still over 10 dB", Texts(drawing));
        Assert.Contains("Standing still: 10 of 15 dB", Texts(drawing));
        Assert.Contains("Next: tone 70 dB HL, masker 40 dB EM. Heard: raise the masker.", MaskingPlateauText.Describe(_live), StringComparison.Ordinal);
        Assert.Empty(MaskingPlateauLayout.Draw(_found with { Next = _live.Next }).WithClass("next"));
        Assert.Equal("No point yet", MaskingPlateauText.Headline(_live with { Points = [] }));
    }

    [Fact]
    public void ARisingCurveIsCalledNoThreshold()
    {
        var rising = _live with { Points = [new(10, 60), new(20, 70), new(30, 80)] };

        Assert.Equal("Still rising: this is not a threshold", MaskingPlateauText.Headline(rising));
        Assert.StartsWith("The tone rose 20 dB while the masker rose 20 dB", MaskingPlateauText.Sentences(rising)[0], StringComparison.Ordinal);
        Assert.DoesNotContain(MaskingPlateauText.Sentences(_found), sentence => sentence.StartsWith("The tone rose", StringComparison.Ordinal));
    }

    [Fact]
    public void AStandThatWasNotAcceptedIsNotShownAsAPlateau()
    {
        var refused = _found with { Points = [.. _found.Points.Take(4)], Verdict = MaskingVerdict.Dilemma, Outcome = new ThresholdOutcome.NotEstablished("A dilemma."), Reason = "A dilemma.", Remedy = "Measure bone conduction." };
        var drawing = MaskingPlateauLayout.Draw(refused);

        Assert.Empty(drawing.WithClass("zone"));
        Assert.Empty(drawing.WithClass("plateau"));
        Assert.Equal(
            ["The tone stood still over 20 dB of the masker, but that is not accepted as a plateau.", "A dilemma.", "What would solve it: Measure bone conduction."],
            MaskingPlateauText.Sentences(refused));
        Assert.Contains("Masking dilemma: no threshold", Texts(drawing));
    }

    [Fact]
    public void TheTableSaysWhatTheChartShows()
    {
        var table = Render<MaskingPlateauTable>(parameters => parameters.Add(chart => chart.Model, _found));

        Assert.Equal("Left ear, air conduction, 2000 Hz, masker in the right ear: Plateau found: 70 dB HL", table.Find("caption").TextContent);
        Assert.Equal(
            [
                "none|55 dB HL||not masked", "10 dB EM|60 dB HL||undermasked", "20 dB EM|70 dB HL|up 10 dB|plateau", "30 dB EM|70 dB HL|unchanged|plateau", "40 dB EM|70 dB HL|unchanged|plateau",
                "50 dB EM|80 dB HL|up 10 dB|overmasked",
            ],
            table.FindAll("tbody tr").Select(row => string.Join("|", row.Children.Select(cell => cell.TextContent))));
    }

    [Fact]
    public void ThePageShowsTheSameDrawingAsTheFile()
    {
        var shown = Render<MaskingPlateauChart>(parameters => parameters.Add(chart => chart.Model, _live));

        Assert.Equal(Parse(MaskingPlateauSvg.Render(_live)).Root!.Descendants().Select(element => element.Name.LocalName), shown.Find("svg").QuerySelectorAll("*").Select(element => element.LocalName));
        shown.Render(parameters => parameters.Add(chart => chart.Model, _found));
        Assert.Equal(5, shown.FindAll(".dot").Count);
    }

    [Theory]
    [InlineData(double.NaN, 50)]
    [InlineData(1e9, 50)]
    [InlineData(20, double.NegativeInfinity)]
    [InlineData(20, -1e9)]
    public void AWrongNumberNeitherBreaksTheChartNorMakesItEndless(double masker, double tone)
    {
        var wrong = _live with { Points = [.. _live.Points, new(masker, tone)], UnmaskedDbHl = tone, MinimumDbEm = masker, OverMaskingFromDbEm = masker, Next = new(tone, masker) };
        var drawing = MaskingPlateauLayout.Draw(wrong);

        Assert.InRange(drawing.Number("height"), 100, 2000);
        Assert.DoesNotContain("NaN", MaskingPlateauText.Describe(wrong), StringComparison.Ordinal);
        Assert.DoesNotContain("Infinity", MaskingPlateauText.Describe(wrong), StringComparison.Ordinal);
        foreach (var circle in drawing.Flatten().Where(element => element.Name == "circle"))
        {
            Assert.InRange(circle.Number("cx"), 0, drawing.Number("width"));
            Assert.InRange(circle.Number("cy"), 0, drawing.Number("height"));
        }
    }

    [Fact]
    public void AFinishedMeasurementBringsItsEvidence()
    {
        var evidence = new MaskingEvidence(10, 10, _found.Points, MaskingVerdict.Plateau, "The threshold stood at 70 dB HL.") { FinalDbEm = 40 };
        var measurement = new Measurement(Ear.Left, ConductionRoute.Air, 2000, new ThresholdOutcome.Established(70)) { Masking = evidence };

        Assert.Equal(_found with { UnmaskedDbHl = null, MinimumDbEm = null, OverMaskingFromDbEm = null }, MaskingPlateau.Of("Masking", measurement));
        Assert.Throws<ArgumentException>(() => MaskingPlateau.Of("Masking", measurement with { Masking = null }));
    }

    [Fact]
    public void NoLineOfTextIsLongerThanTheDrawingIsWide()
    {
        var wordy = _found with { Reason = string.Join(' ', Enumerable.Repeat("considerably", 40)), Remedy = new string('m', 400) };

        Assert.All(MaskingPlateauLayout.Draw(wordy).WithClass("caption").Single().Children, line => Assert.True(line.Text!.Length * line.Number("font-size") * 0.54 <= 520));
    }

    private static double BoundAt(SvgElement drawing, string css) => Assert.Single(drawing.WithClass(css)).Children.Single(child => child.Name == "line").Number("x1");

    private static List<string?> Texts(SvgElement drawing) => [.. drawing.Flatten().Where(element => element.Name == "text").Select(element => element.Text)];
}
