using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Fleet;

namespace TeleHearing.Logistics.Tests.Fleet;

public sealed class PoissonCountTests
{
    /// <summary>Practice reference, section 7 (calculated there): two and one loan a week, 16-day cycle.</summary>
    [Theory]
    [InlineData(7, 4.571, 0.9075)]
    [InlineData(8, 4.571, 0.9564)]
    [InlineData(10, 4.571, 0.9926)]
    [InlineData(5, 2.286, 0.9708)]
    public void TheShareOfTimeIsThePublishedOne(int count, double mean, double expected) =>
        Assert.Equal(expected, PoissonCount.AtMost(count, mean), 5e-5);

    [Fact]
    public void SoManyKitsAreEnoughForTheShareOfTime()
    {
        Assert.Equal(8, PoissonCount.BaseStock(32 / 7.0, 0.95));
        Assert.Equal(10, PoissonCount.BaseStock(32 / 7.0, 0.99));
        Assert.Equal(0, PoissonCount.BaseStock(0, 0.99));
    }

    [Fact]
    public void TheShareIsTheDirectSum() =>
        Prop.ForAll(Gen.Choose(0, 120).ToArbitrary(), Gen.Choose(1, 1000).Select(tenths => tenths / 10.0).ToArbitrary(), (count, mean) =>
            Math.Abs(DirectSum(count, mean) - PoissonCount.AtMost(count, mean)) < 1e-12).QuickCheckThrowOnFailure();

    [Fact]
    public void TheStockIsTheSmallestThatIsEnough() =>
        Prop.ForAll(Gen.Choose(1, 5000).Select(tenths => tenths / 10.0).ToArbitrary(), Gen.Choose(1, 999).Select(thousandths => thousandths / 1000.0).ToArbitrary(), (load, enough) =>
        {
            var stock = PoissonCount.BaseStock(load, enough);
            return PoissonCount.AtMost(stock, load) >= enough && (stock == 0 || PoissonCount.AtMost(stock - 1, load) < enough);
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void AtAMillionTheMeanStillSplitsTheCountsInHalves() =>
        // The normal limit with its first correction: P(N <= mean) = 1/2 + 2 / (3 sqrt(2 pi mean)).
        Assert.Equal(0.5 + (2 / (3 * Math.Sqrt(2 * Math.PI * 1e6))), PoissonCount.AtMost(1_000_000, 1e6), 1e-7);

    [Fact]
    public void WhatCannotBeRightIsRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => PoissonCount.AtMost(-1, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => PoissonCount.AtMost(1, double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => PoissonCount.AtMost(1, -1));
        Assert.Throws<ArgumentOutOfRangeException>(() => PoissonCount.AtMost(int.MaxValue, 1));
    }

    private static double DirectSum(int count, double mean)
    {
        var (term, sum) = (Math.Exp(-mean), Math.Exp(-mean));
        for (var n = 1; n <= count; n++)
        {
            term *= mean / n;
            sum += term;
        }

        return sum;
    }
}
