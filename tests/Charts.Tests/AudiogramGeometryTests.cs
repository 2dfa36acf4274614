using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Charts.Tests;

/// <summary>The grid of ISO 8253-1 and ASHA 1990 (from memory): one octave across equals 20 dB down, so that six octaves are as wide as 120 dB are tall.</summary>
public sealed class AudiogramGeometryTests
{
    [Fact]
    public void OneOctaveIsAsWideAsTwentyDecibelsAreTall()
    {
        var octave = AudiogramScale.X(2000d) - AudiogramScale.X(1000d);
        var twentyDecibels = AudiogramScale.Y(60) - AudiogramScale.Y(40);

        Assert.Equal(twentyDecibels, octave, 9);
    }

    [Fact]
    public void SixOctavesAreAsWideAsOneHundredAndTwentyDecibelsAreTall()
    {
        var sixOctaves = AudiogramScale.X(AudiometricFrequency.FromHertz(8000)) - AudiogramScale.X(AudiometricFrequency.FromHertz(125));

        Assert.Equal(AudiogramScale.Y(120) - AudiogramScale.Y(0), sixOctaves, 9);
    }

    [Fact]
    public void LouderIsLowerOnTheChartAndHigherPitchIsFartherRight() =>
        Prop.ForAll(
            ArbMap.Default.GeneratorFor<byte>().Two().ToArbitrary(),
            pair =>
            {
                var (softer, louder) = (-10 + Math.Min(pair.Item1 % 131, pair.Item2 % 131), -10 + Math.Max(pair.Item1 % 131, pair.Item2 % 131));
                return softer == louder || AudiogramScale.Y(softer) < AudiogramScale.Y(louder);
            }).QuickCheckThrowOnFailure();

    [Fact]
    public void FrequenciesRunLeftToRight()
    {
        var places = AudiometricFrequency.All.Select(frequency => AudiogramScale.X(frequency)).ToList();

        Assert.Equal(places.Order(), places);
        Assert.Equal(11, places.Distinct().Count());
    }

    [Fact]
    public void OctaveLinesAreSolidAndTheOthersDashed()
    {
        var grid = Assert.Single(Drawings.Draw().WithClass("grid"));
        var upright = grid.Flatten().Where(element => element.Name == "line" && element["x1"] == element["x2"]).ToList();

        Assert.Equal(11, upright.Count);
        foreach (var line in upright)
        {
            var place = line.Number("x1");
            var octaves = (place - AudiogramScale.OriginX) / AudiogramScale.UnitsPerOctave;
            var isOctave = Math.Abs(octaves - Math.Round(octaves)) < 0.01;
            Assert.Equal(isOctave, line["stroke-dasharray"] is null);
        }
    }

    [Fact]
    public void EveryLevelLineIsLabelledFromMinusTenToOneHundredAndTwenty()
    {
        var labels = Drawings.Draw().Flatten().Where(element => element.Name == "text").Select(element => element.Text).ToList();

        for (var level = -10; level <= 120; level += 10)
        {
            Assert.Contains(level < 0 ? $"\u2212{-level}" : $"{level}", labels);
        }
    }

    [Fact]
    public void AFrequencyAbove8000HzWithoutALevelLeavesTheChartAsWideAndAsLegibleAsItWas()
    {
        var conventional = Drawings.Draw(Drawings.Threshold(Ear.Right, 8000, 20));
        var asked = Drawings.Draw(Drawings.Threshold(Ear.Right, 8000, 20), Drawings.At(Ear.Right, 12500, new ThresholdOutcome.NotEstablished("Nothing may be played there.")));

        Assert.Equal(conventional.Number("width"), asked.Number("width"));
        Assert.Contains(asked.Flatten(), element => element.Text == "Right ear, not established: 12500 Hz");
    }

    [Fact]
    public void OnAWideChartTheWordsGrowAboutAsMuchAsItShrinks()
    {
        static double Size(SvgElement drawing, string words) => drawing.Flatten().First(element => element.Name == "text" && element.Text == words).Number("font-size");
        var conventional = Drawings.Draw(Drawings.Threshold(Ear.Right, 8000, 20));
        var wide = Drawings.Draw(Drawings.Threshold(Ear.Right, 8000, 20), Drawings.Threshold(Ear.Right, 12500, 20));
        var shrinks = conventional.Number("width") / wide.Number("width");

        Assert.All(["8000", "6000", "120", "Right ear: O, solid line"], words => Assert.InRange(shrinks * Size(wide, words) / Size(conventional, words), 0.85, 1.2));

        // Three figures are about 1.8 times as wide as they are tall, and a word turned on its side reaches a third of its size beside its line.
        var axis = wide.Flatten().First(element => element.Text?.StartsWith("Hearing level", StringComparison.Ordinal) == true);
        var number = wide.Flatten().First(element => element.Name == "text" && element.Text == "120");
        Assert.True(axis.Number("x") + (axis.Number("font-size") / 3) < number.Number("x") - (1.8 * number.Number("font-size")));
    }

    [Fact]
    public void ExtendedHighFrequenciesStandBeyondABreakAndOnlyWhenTheyWereTested()
    {
        var conventional = Drawings.Draw(Drawings.Threshold(Ear.Right, 8000, 20));
        var extended = Drawings.Draw([.. AudiometricFrequency.Both.Select(frequency => Drawings.Threshold(Ear.Right, frequency.Hertz, 20))]);

        Assert.True(extended.Number("width") > conventional.Number("width"));
        var places = extended.WithClass("point").Select(point => point.Children.Single(child => child.Name == "circle").Number("cx")).ToList();
        Assert.Equal(17, places.Count);
        Assert.Equal(places.Order(), places);
        Assert.All(places, place => Assert.InRange(place, 0, extended.Number("width")));
        Assert.All(places.Skip(11).Zip(places.Skip(12)), pair => Assert.True(pair.Second - pair.First > 2 * AudiogramSymbols.Radius));
        Assert.NotEmpty(extended.WithClass("join"));
        Assert.All(extended.WithClass("join"), join => Assert.Equal(join.Number("x1") < AudiogramGrid.FrameRight, join.Number("x2") < AudiogramGrid.FrameRight));
        Assert.All(AudiometricFrequency.Both, frequency => Assert.Contains(extended.Flatten(), element => element.Name == "text" && element.Text == $"{frequency.Hertz}"));
    }
}
