using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

public sealed class NormalTests
{
    // Handbook tables of the normal distribution (Abramowitz and Stegun, Tables 26.1 and 26.5).
    [Theory]
    [InlineData(0.5, 0)]
    [InlineData(0.9, 1.281552)]
    [InlineData(0.95, 1.644854)]
    [InlineData(0.975, 1.959964)]
    [InlineData(0.999, 3.090232)]
    [InlineData(0.0000001, -5.199338)]
    [InlineData(1e-15, -7.941345)]
    public void QuantilesAreThoseOfTheHandbook(double share, double z)
    {
        Assert.Equal(z, Normal.Quantile(share), 2e-6);
    }

    [Fact]
    public void QuantileAndCumulativeUndoEachOther()
    {
        for (var share = 0.001; share < 1; share += 0.001)
        {
            Assert.Equal(share, Normal.Cumulative(Normal.Quantile(share)), 2e-7);
        }
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(double.NaN)]
    public void NoQuantileOutsideZeroToOne(double share)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Normal.Quantile(share));
    }
}
