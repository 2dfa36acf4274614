using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Logistics.Fleet;

namespace TeleHearing.Logistics.Tests.Fleet;

/// <summary>Values of the practice reference, section 7: those with a source there name it; the others were calculated for it and are held against the direct sum below.</summary>
public sealed class ErlangTests
{
    [Theory]
    [InlineData(1, 1, 0.5)]
    [InlineData(2, 4, 2.0 / 21)]
    [InlineData(5, 10, 0.018385)]
    [InlineData(10, 10, 0.214582)]
    [InlineData(10, 15, 0.036497)]
    [InlineData(10, 17, 0.012949)]
    [InlineData(10, 18, 0.007142)]
    [InlineData(20, 30, 0.008457)]
    public void TheShareRefusedIsThePublishedOne(double load, int kits, double refused) =>
        Assert.Equal(refused, ErlangB.Refused(load, kits), 5e-7);

    [Theory]
    [InlineData(2, 4, 4.0 / 23)]
    [InlineData(5, 10, 0.036105)]
    [InlineData(10, 15, 0.102042)]
    [InlineData(10, 17, 0.030876)]
    [InlineData(10, 18, 0.015928)]
    [InlineData(20, 30, 0.024950)]
    public void TheShareThatWaitsIsThePublishedOne(double load, int kits, double waiting) =>
        Assert.Equal(waiting, ErlangC.Waiting(load, kits)!.Value, 5e-7);

    /// <summary>Spot checks of the published traffic table: 8 channels 3.1/3.6/4.5; 15 channels at 1 % 8.108.</summary>
    [Theory]
    [InlineData(5, 1.361, 1.657, 2.218)]
    [InlineData(8, 3.128, 3.627, 4.543)]
    [InlineData(10, 4.461, 5.084, 6.216)]
    [InlineData(15, 8.108, 9.010, 10.633)]
    [InlineData(20, 12.031, 13.182, 15.249)]
    public void TheLoadAFleetServesAtOneTwoAndFivePercentIsThePublishedOne(int kits, double one, double two, double five)
    {
        Assert.Equal(one, ErlangB.HighestLoad(kits, 0.01), 5.001e-4);
        Assert.Equal(two, ErlangB.HighestLoad(kits, 0.02), 5.001e-4);
        Assert.Equal(five, ErlangB.HighestLoad(kits, 0.05), 5.001e-4);
    }

    /// <summary>Fleets for a 16-day cycle (example input of the reference).</summary>
    [Theory]
    [InlineData(1, 5, 6, 7, 7)]
    [InlineData(2, 7, 9, 10, 11)]
    [InlineData(3, 10, 11, 13, 14)]
    [InlineData(4, 12, 14, 16, 17)]
    public void TheFleetForAShareRefusedIsThePublishedOne(double loansPerWeek, int ten, int five, int two, int one)
    {
        var load = Load.Offered(loansPerWeek, 16);

        Assert.Equal([ten, five, two, one], new[] { 0.1, 0.05, 0.02, 0.01 }.Select(refused => ErlangB.SmallestFleet(load, refused)!.Value));
    }

    [Fact]
    public void AsManyKitsAsAreOutOnAverageRefuseAQuarter() =>
        Assert.Equal(0.249, ErlangB.Refused(Load.Offered(2, 16), 5), 5e-4);

    [Fact]
    public void TheRecursionIsTheDirectSum() =>
        Prop.ForAll(Gen.Choose(1, 400).Select(tenths => tenths / 10.0).ToArbitrary(), Gen.Choose(0, 60).ToArbitrary(), (load, kits) =>
            Math.Abs((DirectSum(load, kits) / ErlangB.Refused(load, kits)) - 1) < 1e-10).QuickCheckThrowOnFailure();

    [Fact]
    public void MoreKitsRefuseFewerAndMoreLoadRefusesMore() =>
        Prop.ForAll(Gen.Choose(1, 2000).Select(tenths => tenths / 10.0).ToArbitrary(), Gen.Choose(1, 300).ToArbitrary(), (load, kits) =>
        {
            // Far above what is needed the share is too small for a number and is 0.
            var refused = ErlangB.Refused(load, kits);
            return refused == 0 || (refused < ErlangB.Refused(load, kits - 1) && ErlangB.Refused(load * 1.01, kits) > refused);
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void TheSmallestFleetKeepsTheTargetAndOneFewerDoesNot() =>
        Prop.ForAll(Gen.Choose(1, 3000).Select(tenths => tenths / 10.0).ToArbitrary(), Gen.Choose(1, 500).Select(thousandths => thousandths / 1000.0).ToArbitrary(), (load, target) =>
        {
            var kits = ErlangB.SmallestFleet(load, target)!.Value;
            return ErlangB.Refused(load, kits) <= target && ErlangB.Refused(load, kits - 1) > target;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void TheInverseGivesBackTheLoad() =>
        Prop.ForAll(Gen.Choose(1, 2000).Select(tenths => tenths / 10.0).ToArbitrary(), Gen.Choose(1, 200).ToArbitrary(), (load, kits) =>
        {
            var refused = ErlangB.Refused(load, kits);
            return refused < 1e-12 || Math.Abs((ErlangB.HighestLoad(kits, refused) / load) - 1) < 1e-6;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void NoLoadRefusesNothingAndNoKitsRefuseAll()
    {
        Assert.Equal(0, ErlangB.Refused(0, 1));
        Assert.Equal(1, ErlangB.Refused(3, 0));
        Assert.Equal(1, ErlangB.Refused(0, 0));
        Assert.Equal(0, ErlangC.Waiting(0, 1));
        Assert.Equal(1, ErlangB.SmallestFleet(0, 0.5));
        Assert.Null(ErlangB.SmallestFleet(Load.HighestLoad, 1e-6));
    }

    [Fact]
    public void AFleetThatCannotKeepUpHasNoWait()
    {
        Assert.Null(ErlangC.Waiting(10, 10));
        Assert.Null(ErlangC.MeanWaitDays(10.5, 10, 16));
        Assert.NotNull(ErlangC.Waiting(9.999, 10));
    }

    /// <summary>One kit: M/M/1 waits A T / (1 - A) on average (any textbook on queues).</summary>
    [Fact]
    public void OneKitWaitsAsTheTextbookSays() =>
        Assert.Equal(0.8 * 10 / 0.2, ErlangC.MeanWaitDays(0.8, 1, 10)!.Value, 9);

    /// <summary>Bronson, Operations Research (Schaum's Outline), problem 24.6: three servers, 300 a year of 365 days, two days each.</summary>
    [Fact]
    public void TheWaitingLineOfTheTextbookIsReproduced()
    {
        var line = WaitingLine.Of(300.0 / 365, 2, 3)!;

        Assert.Equal(0.17754, line.NobodyThere, 5e-6);
        Assert.Equal(0.352, line.MeanWaiting, 5e-4);
        Assert.Equal(1.996, line.MeanThere, 5e-4);
        Assert.Equal(0.43, line.MeanWaitDays, 5e-3);
        Assert.Equal(2.429, line.MeanStayDays, 1e-3);
    }

    [Fact]
    public void AWaitingLineOfManyServersStaysANumber()
    {
        var line = WaitingLine.Of(900, 1, 1000)!;

        Assert.Equal(Math.Exp(-900), line.NobodyThere, Math.Exp(-900) * 0.01);
        Assert.Null(WaitingLine.Of(2, 2, 4));
    }

    [Theory]
    [InlineData(-1)]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(10_001)]
    public void ALoadThatCannotBeRightIsRefusedWithWords(double load)
    {
        Assert.Contains("Give a number from 0 to 10000", Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.Refused(load, 5)).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangC.Waiting(load, 5));
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.SmallestFleet(load, 0.05));
        Assert.Throws<ArgumentOutOfRangeException>(() => Load.Offered(load, 16));
        Assert.Throws<ArgumentOutOfRangeException>(() => Load.Offered(1, load));
        Assert.Throws<ArgumentOutOfRangeException>(() => WaitingLine.Of(load, 1, 1));
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(-0.1)]
    [InlineData(double.NaN)]
    public void ATargetThatCannotBeRightIsRefused(double refused)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.SmallestFleet(1, refused));
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.HighestLoad(1, refused));
        Assert.Throws<ArgumentOutOfRangeException>(() => PoissonCount.BaseStock(1, refused));
    }

    [Fact]
    public void CountsThatCannotBeRightAreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.Refused(1, -1));
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.Refused(1, int.MaxValue));
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangC.Waiting(1, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => ErlangB.HighestLoad(0, 0.1));
    }

    private static double DirectSum(double load, int kits)
    {
        var (term, sum) = (1.0, 1.0);
        for (var n = 1; n <= kits; n++)
        {
            term *= load / n;
            sum += term;
        }

        return term / sum;
    }
}
