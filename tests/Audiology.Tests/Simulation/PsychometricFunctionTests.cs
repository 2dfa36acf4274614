using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

public sealed class PsychometricFunctionTests
{
    // Standard normal distribution, printed tables (Abramowitz and Stegun, Table 26.1).
    [Theory]
    [InlineData(0, 0.5)]
    [InlineData(1, 0.8413447)]
    [InlineData(1.96, 0.9750021)]
    [InlineData(-1, 0.1586553)]
    [InlineData(-3, 0.0013499)]
    public void WithoutLapsesItIsTheNormalDistribution(double deviations, double probability)
    {
        Assert.Equal(probability, new PsychometricFunction(30, 2).Probability(30 + (2 * deviations)), 1e-6);
    }

    [Fact]
    public void LapsesAndFalseAlarmsAreItsEnds()
    {
        // P = g + (1 - g - l) Phi: g = 5 % far below, 1 - l = 98 % far above, (g + 1 - l) / 2 at the midpoint.
        var function = new PsychometricFunction(30, 2, lapseRate: 0.02, falseAlarmRate: 0.05);

        Assert.Equal(0.05, function.Probability(double.NegativeInfinity), 9);
        Assert.Equal(0.98, function.Probability(200), 9);
        Assert.Equal(0.515, function.Probability(30), 7);
    }

    [Fact]
    public void LouderIsNeverHeardLessAndProbabilitiesStayInBounds() => Prop.ForAll(
        Gen.Choose(-200, 1400).Select(value => value / 10.0).ToArbitrary(),
        Gen.Choose(0, 300).Select(value => value / 10.0).ToArbitrary(),
        Gen.Choose(1, 80).Select(value => value / 10.0).ToArbitrary(),
        (level, more, sd) =>
        {
            var function = new PsychometricFunction(40, sd, 0.02, 0.05);
            return function.Probability(level) is >= 0.05 - 1e-9 and <= 0.98 + 1e-9 && function.Probability(level + more) >= function.Probability(level) - 1e-7;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void ValuesOutsideTheirRangesAreRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new PsychometricFunction(double.NaN, 2));
        Assert.Throws<ArgumentOutOfRangeException>(() => new PsychometricFunction(0, 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => new PsychometricFunction(0, 2, 0.6, 0.6));
        Assert.Throws<ArgumentOutOfRangeException>(() => new PsychometricFunction(0, 2).Probability(double.NaN));
    }
}
