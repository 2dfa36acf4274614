using TeleHearing.Logistics.Numerics;

namespace TeleHearing.Logistics.Tests.Numerics;

public sealed class NumericsTests
{
    [Fact]
    public void TheGammaFunctionIsTheFactorial()
    {
        var factorial = 1.0;
        for (var n = 1; n <= 100; n++)
        {
            factorial *= n;
            Assert.Equal(Math.Log(factorial), Gamma.Log(n + 1), 1e-11);
        }

        Assert.Equal(Math.Log(Math.Sqrt(Math.PI)), Gamma.Log(0.5), 1e-13);
    }

    /// <summary>Student's t at 95 %, two-sided, as printed in every table of it.</summary>
    [Theory]
    [InlineData(1, 12.706)]
    [InlineData(2, 4.303)]
    [InlineData(5, 2.571)]
    [InlineData(9, 2.262)]
    [InlineData(19, 2.093)]
    [InlineData(30, 2.042)]
    [InlineData(120, 1.980)]
    [InlineData(100_000, 1.960)]
    public void StudentsTIsThatOfTheTables(int degreesOfFreedom, double expected) =>
        Assert.Equal(expected, StudentT.TwoSided(degreesOfFreedom, 0.95), 5.001e-4);

    /// <summary>Exact 95 % limits of a Poisson count (Garwood 1936; tables of it).</summary>
    [Theory]
    [InlineData(0, 0, 3.689)]
    [InlineData(1, 0.0253, 5.572)]
    [InlineData(5, 1.623, 11.668)]
    [InlineData(10, 4.795, 18.390)]
    [InlineData(20, 12.217, 30.888)]
    [InlineData(100, 81.364, 121.627)]
    public void TheExactIntervalOfACountIsThatOfTheTables(int count, double low, double high)
    {
        var estimate = Estimate.Rate(count, 1, 0.95);

        Assert.Equal(low, estimate.Low, 5.001e-4);
        Assert.Equal(high, estimate.High, 5.001e-4);
        Assert.Equal(count, estimate.Value);
    }

    [Fact]
    public void AMeanNeedsTwoFiniteNumbers()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Estimate.Mean([1], 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => Estimate.Mean([1, double.NaN], 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => Estimate.Mean([1, 2], 0));
        Assert.Throws<ArgumentOutOfRangeException>(() => Estimate.Rate(-1, 1, 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => Estimate.Rate(1, 0, 0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => Estimate.Rate(1, double.NaN, 0.95));
    }

    [Fact]
    public void EqualNumbersHaveAMeanWithoutDoubt()
    {
        var estimate = Estimate.Mean([3, 3, 3], 0.95);

        Assert.Equal((3, 3, 3), (estimate.Low, estimate.Value, estimate.High));
    }
}
