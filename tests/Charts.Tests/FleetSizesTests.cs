namespace TeleHearing.Charts.Tests;

public sealed class FleetSizesTests
{
    private static readonly FleetSizes _sizes = new(
        [new(3, 0.35, false), new(4, 0.21, false), new(5, 0.11, false), new(6, 0.049, true), new(7, 0.02, true)], 0.05, 4);

    [Fact]
    public void TheDescriptionNamesTheWishWhereItIsKeptAndToday() => Assert.Equal(
        "From 35 % refused with 3 kits at work to 2 % with 7. The wished 5 % is kept from 6 on. Today 4 are at work: 21 %, over the wish.",
        FleetSizesText.Describe(_sizes));

    [Fact]
    public void WhatTheColourSaysStandsInWordsAndShapesToo()
    {
        var drawing = FleetSizesLayout.Draw(_sizes);
        var texts = drawing.Flatten().Where(element => element.Name == "text").Select(element => element.Text).ToList();

        Assert.Contains("▲ enough", texts);
        Assert.Contains("▲ today", texts);
        Assert.Contains("wished: at most 5 %", texts);
        Assert.Equal(["✓ 6", "✓ 7"], texts.Where(text => text!.StartsWith('✓')));
        Assert.All(drawing.Flatten().Where(element => element["class"] == "bar over"), bar => Assert.Equal("#ffffff", bar["fill"]));
    }

    [Fact]
    public void ABarReachesTheLineOfTheWishExactlyWhenItsShareIsTheWish()
    {
        var drawing = FleetSizesLayout.Draw(_sizes with { Target = 0.11 });

        Assert.Equal(drawing.WithClass("target").Single(element => element.Name == "line").Number("y1"), drawing.WithClass("bar")[2].Number("y"), 2);
    }

    [Fact]
    public void AFleetFarFromTheDrawingIsSaidSoAndAnEmptyOneIsNoFault()
    {
        Assert.EndsWith("Today 40 are at work, which lies outside the drawing.", FleetSizesText.Describe(_sizes with { TodayKits = 40 }), StringComparison.Ordinal);
        Assert.Equal("No fleet size to show.", FleetSizesText.Describe(new FleetSizes([], 0.05, null)));
        Assert.Equal("svg", FleetSizesLayout.Draw(new FleetSizes([], 0.05, null)).Name);
    }

    [Theory]
    [InlineData(0, "0 %")]
    [InlineData(0.00001, "under 0.01 %")]
    [InlineData(0.0049, "0.49 %")]
    [InlineData(0.0149, "1.5 %")]
    [InlineData(0.149, "15 %")]
    public void SharesKeepTheDigitsThatMatter(double share, string words) => Assert.Equal(words, FleetSizesText.Percent(share));
}
