using System.Numerics;
using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

public sealed class DecimatorTests
{
    [Fact]
    public void WhatIsKeptIsKeptFlatAndWhatWouldFoldIntoItIsKeptOut()
    {
        // From the taps alone, over the frequencies of the input rate: kept up to 0.236 / 4, folding into that from (1 - 0.236) / 4 on.
        for (var step = 0; step <= 1000; step++)
        {
            var kept = Decimator.PassBand / Decimator.Factor * step / 1000;
            var folding = ((1 - Decimator.PassBand) / Decimator.Factor) + ((0.5 - ((1 - Decimator.PassBand) / Decimator.Factor)) * step / 1000);
            Assert.Equal(0, Db(kept), 0.0002);
            Assert.True(Db(folding) < -99, $"{folding}: {Db(folding)} dB");
        }
    }

    [Fact]
    public void AnyBlocksGiveTheSameSamples()
    {
        var random = new System.Random(8);
        double[] samples = [.. Enumerable.Range(0, 4000).Select(_ => random.NextDouble() - 0.5)];
        var whole = new double[1001];
        var count = new Decimator(4000).Process(samples, whole);
        var inParts = new List<double>();
        var parts = new Decimator(300);
        for (var place = 0; place < samples.Length;)
        {
            var take = Math.Min(random.Next(0, 300), samples.Length - place);
            var output = new double[100];
            inParts.AddRange(output[..parts.Process(samples.AsSpan(place, take), output)]);
            place += take;
        }

        Assert.Equal(1000, count);
        Assert.Equal(whole[..count], inParts);
    }

    [Fact]
    public void ABandTooHighForALowerRateIsNotGivenOne()
    {
        var (lower, upper) = ThirdOctaveBands.Edges(3150);
        var sections = ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, 48_000);

        Assert.Null(DecimatedFilter.Find(sections, lower, upper, 48_000, 4));
        Assert.NotNull(DecimatedFilter.Find(ButterworthBandPass.Design(BandBank.PrototypeOrder, 900, 1100, 48_000), 900, 1100, 48_000, 4));
    }

    private static double Db(double frequency)
    {
        var delay = Complex.FromPolarCoordinates(1, -Math.Tau * frequency);
        return 20 * Math.Log10(Decimator.Taps.Select((tap, k) => tap * Complex.Pow(delay, k)).Aggregate((sum, part) => sum + part).Magnitude);
    }
}
