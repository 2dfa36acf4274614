using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.PureTone;

public sealed class EarProtocolTests
{
    [Fact]
    public void TheUsualOrderGoesUpFromOneKilohertzRepeatsItAndGoesDown()
    {
        // ASHA 2005 (order from memory).
        int[] wanted = [250, 500, 1000, 2000, 3000, 4000, 6000, 8000];

        Assert.Equal([1000, 2000, 3000, 4000, 6000, 8000, 1000, 500, 250], Order(wanted));
    }

    [Fact]
    public void EveryFrequencyHasItsPlace()
    {
        Assert.Equal([1000, 1500, 2000, 3000, 4000, 6000, 8000, 1000, 750, 500, 250, 125], Order([.. AudiometricFrequency.All.Select(frequency => frequency.Hertz)]));
        Assert.Equal([1000, 1000], Order([1000, 1000]));
        Assert.Equal([4000, 500], Order([500, 4000]));
        Assert.Empty(Order([]));
    }

    [Theory]
    [InlineData(40, 45, true)]
    [InlineData(45, 40, true)]
    [InlineData(40, 50, false)]
    public void ARetestAgreesWithinFiveDecibels(double first, double retest, bool agrees)
    {
        // ISO 8253-1:2010, 6.2.3, step 3.
        Assert.Equal(agrees, EarProtocol.RetestAgrees(new ThresholdOutcome.Established(first), new ThresholdOutcome.Established(retest)));
    }

    [Fact]
    public void OutcomesWithoutAThresholdAgreeOnlyWhenTheSame()
    {
        Assert.True(EarProtocol.RetestAgrees(new ThresholdOutcome.NoResponseAtLimit(100), new ThresholdOutcome.NoResponseAtLimit(100)));
        Assert.False(EarProtocol.RetestAgrees(new ThresholdOutcome.NoResponseAtLimit(100), new ThresholdOutcome.Established(100)));
        Assert.False(EarProtocol.RetestAgrees(new ThresholdOutcome.NotEstablished("x"), new ThresholdOutcome.NotEstablished("x")));
    }

    [Theory]
    [InlineData(20, 40, 60, new[] { 750, 1500 })]
    [InlineData(20, 39, 60, new[] { 1500 })]
    [InlineData(20, 35, 50, new int[0])]
    public void OctavesTwentyDecibelsApartCallForTheFrequencyBetween(double at500, double at1000, double at2000, int[] between)
    {
        // ANSI S3.21: adjacent octaves that differ by 20 dB or more.
        var outcomes = new Dictionary<int, ThresholdOutcome>
        {
            [500] = new ThresholdOutcome.Established(at500),
            [1000] = new ThresholdOutcome.Established(at1000),
            [2000] = new ThresholdOutcome.Established(at2000),
        };

        Assert.Equal(between, EarProtocol.InterOctavesToAdd(outcomes).Select(frequency => frequency.Hertz));
    }

    private static IEnumerable<int> Order(int[] hertz) =>
        EarProtocol.ConventionalOrder(hertz.Select(value => AudiometricFrequency.FromHertz(value))).Select(frequency => frequency.Hertz);
}
