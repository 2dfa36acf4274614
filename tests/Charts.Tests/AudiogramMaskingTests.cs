using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using static TeleHearing.Charts.Tests.Drawings;

namespace TeleHearing.Charts.Tests;

public sealed class AudiogramMaskingTests
{
    [Fact]
    public void OneMeasurementStandsForEachEarRouteFrequencyAndMasking()
    {
        var chart = new Audiogram("Test", [Threshold(Ear.Left, 1000, 20), Masked(1000, 40), Bone(1000, 10), Bone(1000, 30) with { Masked = true }, Threshold(Ear.Left, 1000, 25), Masked(1000, 45), Threshold(Ear.Left, 500, 5)]);

        Assert.Equal(
            [(500, false, 5.0), (1000, false, 25.0), (1000, true, 45.0), (1000, false, 10.0), (1000, true, 30.0)],
            chart.Standing(Ear.Left).Select(point => (point.Frequency.Hertz, point.Masked, ((ThresholdOutcome.Established)point.Outcome).LevelDbHl)));
    }

    [Fact]
    public void TheLineRunsThroughTheMaskedThresholdWhereThereIsOne()
    {
        var joins = Draw(Threshold(Ear.Left, 500, 50), Threshold(Ear.Left, 1000, 50), Masked(1000, 80), Threshold(Ear.Left, 2000, 50)).WithClass("join");

        Assert.Equal(2, joins.Count);
        Assert.True(joins[0].Number("y2") > AudiogramScale.Y(65) && joins[1].Number("y1") > AudiogramScale.Y(65));
    }

    [Fact]
    public void TheUnmaskedThresholdRemainsSmallBesideTheMaskedOne()
    {
        var drawing = Draw(Threshold(Ear.Right, 1000, 50), Threshold(Ear.Right, 1000, 70) with { Masked = true });

        var small = Assert.Single(drawing.WithClass("outranked"));
        Assert.True(small.Children.Single(child => child.Name == "circle").Number("r") < AudiogramSymbols.Radius);
        Assert.Contains(small.Children, child => child.Text == "Right ear, air conduction, 1000 Hz: 50 dB HL (since masked)");
        Assert.Contains("Small: since masked", Legend(drawing));
    }

    [Fact]
    public void WhereMaskingCameToNothingTheUnmaskedThresholdIsDrawnButNotJoined()
    {
        var drawing = Draw(Threshold(Ear.Left, 500, 50), Threshold(Ear.Left, 1000, 50), At(Ear.Left, 1000, new ThresholdOutcome.NotEstablished("A dilemma.")) with { Masked = true }, Threshold(Ear.Left, 2000, 50));

        Assert.Empty(drawing.WithClass("join"));
        Assert.Empty(drawing.WithClass("outranked"));
        Assert.Equal(3, drawing.WithClass("established").Count);
        Assert.Contains(drawing.Flatten(), element => element.Text == "Left ear, air conduction, masked, not established: 1000 Hz");
    }

    [Fact]
    public void AnUnmaskedThresholdThatADilemmaSupersededIsSmallAndCalledSinceMasked()
    {
        var drawing = Draw(
            Bone(500, 10) with { Superseded = true },
            At(Ear.Left, 500, new ThresholdOutcome.NotEstablished("A dilemma.")) with { Route = ConductionRoute.BoneMastoid, Masked = true },
            Threshold(Ear.Left, 1000, 50) with { Superseded = true },
            Threshold(Ear.Left, 1000, 55));

        var texts = drawing.Flatten().Select(element => element.Text).OfType<string>().ToList();
        Assert.Contains("Left ear, bone conduction, not masked, 500 Hz: 10 dB HL (since masked)", texts);
        Assert.Contains("Left ear, air conduction, 1000 Hz: 50 dB HL (earlier measurement)", texts);
        Assert.All(["Small: since masked", "Small: since repeated"], words => Assert.Contains(words, Legend(drawing)));
        Assert.Contains("Left ear, bone conduction, masked, not established: 500 Hz", texts);
    }

    [Fact]
    public void AReasonEndsWithoutAFullStopSoThatASentenceCanFollow() =>
        Assert.Equal("not established: No calibration there", OutcomeText.Full(new ThresholdOutcome.NotEstablished("No calibration there.")));

    [Fact]
    public void BoneConductionIsNeverJoined() =>
        Assert.Empty(Draw(Bone(500, 10), Bone(1000, 10), Bone(2000, 15) with { Masked = true }, Bone(4000, 20) with { Masked = true }).WithClass("join"));

    [Fact]
    public void AnEstimateIsBrokenAndHasABarWithCapsAtItsEnds()
    {
        var drawing = Draw(Threshold(Ear.Right, 2000, 25) with { Estimate = true, Interval = new(15, 40, 0.9) });

        Assert.NotNull(Assert.Single(drawing.WithClass("estimate")).Children.Single(child => child.Name == "circle")["stroke-dasharray"]);
        var lines = Assert.Single(drawing.WithClass("interval")).Flatten().Where(element => element.Name == "line").ToList();
        Assert.Equal([AudiogramScale.Y(15), AudiogramScale.Y(40)], lines.Where(line => line["y1"] == line["y2"]).Select(cap => cap.Number("y1")).Order());
        Assert.Equal(AudiogramScale.Y(15), lines.Min(line => line.Number("y2")));
        Assert.Equal(["Right ear: O, solid line", "Broken outline: estimate", "90 % credible interval"], Legend(drawing));
    }

    [Fact]
    public void ABarThatLeavesTheChartEndsAtItsEdgeWithoutACap()
    {
        var lines = Assert.Single(Draw(Threshold(Ear.Left, 2000, 115) with { Estimate = true, Interval = new(105, 130, 0.9) }).WithClass("interval")).Children;

        Assert.Single(lines, line => line["y1"] == line["y2"]);
        Assert.Equal(AudiogramScale.Y(120), lines.Max(line => line.Number("y2")));
    }

    [Theory]
    [InlineData(double.NaN, 30, 0.9)]
    [InlineData(30, 20, 0.9)]
    [InlineData(20, double.PositiveInfinity, 0.9)]
    [InlineData(20, 30, 0)]
    public void AnIntervalThatIsNoneIsNotDrawnAndNotTold(double lower, double upper, double share)
    {
        var point = Threshold(Ear.Right, 2000, 25) with { Estimate = true, Interval = new(lower, upper, share) };

        Assert.Empty(Draw(point).WithClass("interval"));
        Assert.Equal("Right ear, air conduction, 2000 Hz: 25 dB HL; estimate", PointText.Sentence(point));
    }

    [Fact]
    public void AJoinThatTouchesAnEstimateIsThinner()
    {
        var joins = Draw(Threshold(Ear.Right, 1000, 20) with { Estimate = true }, Threshold(Ear.Right, 2000, 20), Threshold(Ear.Right, 4000, 20)).WithClass("join");

        Assert.True(joins[0].Number("stroke-width") < joins[1].Number("stroke-width"));
    }

    [Fact]
    public void EveryMeasurementIsToldInWords()
    {
        Assert.Equal("Right ear, bone conduction, masked, 2000 Hz: 25 dB HL", PointText.Sentence(Threshold(Ear.Right, 2000, 25) with { Route = ConductionRoute.BoneMastoid, Masked = true }));
        Assert.Equal(
            "Left ear, air conduction, 500 Hz: 25 dB HL; estimate, 90 % between 20 and 30 dB HL",
            PointText.Sentence(Threshold(Ear.Left, 500, 25) with { Estimate = true, Interval = new(20, 30, 0.9) }));
        Assert.Equal("Either ear, bone conduction from the forehead, not masked, 1000 Hz: no response at 60 dB HL", PointText.Sentence(At(Ear.Left, 1000, new ThresholdOutcome.NoResponseAtLimit(60)) with { Route = ConductionRoute.BoneForehead }));
    }

    [Fact]
    public void TheLegendExplainsWhatIsDrawnAndNothingElse()
    {
        Assert.Equal(["Right ear: O, solid line", "Left ear: X, dashed line"], Legend(Draw()));
        Assert.Equal(["Left ear, bone, masked: ]"], Legend(Draw(Bone(1000, 20) with { Masked = true })));
        Assert.Equal(
            ["Right ear: O, solid line", "Left ear, masked: square", "Forehead, either ear: V", "No response at this level"],
            Legend(Draw(Threshold(Ear.Right, 500, 10), At(Ear.Left, 500, new ThresholdOutcome.NoResponseAtLimit(90)) with { Masked = true }, Threshold(Ear.Left, 1000, 10) with { Route = ConductionRoute.BoneForehead })));
    }

    [Fact]
    public void TheTableTellsTheMaskedMeasurementFirst()
    {
        var chart = new Audiogram("Test", [Threshold(Ear.Left, 1000, 50), Masked(1000, 70), Bone(1000, 15), Threshold(Ear.Right, 1000, 10)]);

        Assert.Equal("air and bone conduction", AudiogramText.Scope(chart));
        Assert.Equal(["Right ear (O)", "Left ear (X, masked □)", "Left ear, bone conduction (>)"], AudiogramText.Columns(chart).Select(column => column.Heading));
        Assert.Equal(["not masked: 10 dB HL", "masked: 70 dB HL; not masked: 50 dB HL", "not masked: 15 dB HL"], Assert.Single(AudiogramText.Rows(chart)).Cells);
        Assert.Equal(
            "Right ear, air conduction, not masked: 1000 Hz, 10 dB HL. Left ear, air conduction, not masked: 1000 Hz, 50 dB HL, since masked. Left ear, air conduction, masked: 1000 Hz, 70 dB HL. Left ear, bone conduction, not masked: 1000 Hz, 15 dB HL.",
            AudiogramText.Describe(chart));
    }

    [Fact]
    public void NoTwoMarksShareAnIdentity()
    {
        var every = from ear in Enum.GetValues<Ear>()
                    from route in Enum.GetValues<ConductionRoute>()
                    from masked in new[] { false, true }
                    from estimate in new[] { false, true }
                    from superseded in new[] { false, true }
                    select Threshold(ear, 1000, 40) with { Route = route, Masked = masked, Estimate = estimate, Superseded = superseded, Interval = new(30, 50, 0.9) };
        var drawing = Draw([.. every, .. every]);

        var keys = drawing.Children.Select(child => child.Key).Where(key => key is not null).ToList();
        Assert.True(keys.Count > 40);
        Assert.Equal(keys.Distinct(), keys);
    }

    private static AudiogramPoint Masked(int hertz, double level) => Threshold(Ear.Left, hertz, level) with { Masked = true };

    private static AudiogramPoint Bone(int hertz, double level) => Threshold(Ear.Left, hertz, level) with { Route = ConductionRoute.BoneMastoid };

    private static List<string?> Legend(SvgElement drawing) => [.. Assert.Single(drawing.WithClass("legend")).Flatten().Where(element => element.Name == "text").Select(element => element.Text)];
}
