using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

public sealed class ThirdOctaveBankTests
{
    private const int SampleRateHz = 48_000;

    // IEC 61260-1, base ten: exact mid-band frequencies are powers of 10^(1/10) about 1000 Hz.
    [Theory]
    [InlineData(31.5, 31.623)]
    [InlineData(125, 125.893)]
    [InlineData(250, 251.189)]
    [InlineData(1000, 1000)]
    [InlineData(1600, 1584.893)]
    [InlineData(8000, 7943.282)]
    public void ExactMidbandsAreThoseOfBaseTen(double nominal, double exact)
    {
        Assert.Equal(exact, ThirdOctaveBands.ExactMidband(nominal), 0.001);
    }

    [Theory]
    [InlineData(750, 800)]
    [InlineData(1500, 1600)]
    [InlineData(3000, 3150)]
    [InlineData(6000, 6300)]
    [InlineData(125, 125)]
    [InlineData(8000, 8000)]
    public void AudiometricFrequenciesLieInTheirBands(double hertz, double band)
    {
        Assert.Equal(band, ThirdOctaveBands.Containing(hertz));
    }

    [Theory]
    [InlineData(125)]
    [InlineData(1000)]
    [InlineData(8000)]
    public void ASineAtMidbandReadsItsLevelAndOneAtAnEdgeThreeDecibelsLess(double nominal)
    {
        var (lower, upper) = ThirdOctaveBands.Edges(nominal);

        // A sine of peak 0.1 has a mean square of 0.005: -23.01 dB, read on a scale where mean square 1 is 120 dB.
        Assert.Equal(96.99, LevelOfSine(nominal, ThirdOctaveBands.ExactMidband(nominal)), 0.02);
        Assert.Equal(96.99 - 3.01, LevelOfSine(nominal, lower), 0.05);
        Assert.Equal(96.99 - 3.01, LevelOfSine(nominal, upper), 0.05);
    }

    [Theory]
    [InlineData(31.5)]
    [InlineData(250)]
    [InlineData(1000)]
    [InlineData(4000)]
    [InlineData(8000)]
    public void TheResponseIsTheButterworthFormula(double nominal)
    {
        var (lower, upper) = ThirdOctaveBands.Edges(nominal);
        var sections = ButterworthBandPass.Design(3, lower, upper, SampleRateHz);

        foreach (var ratio in new[] { 0.25, 0.5, 0.7, 0.8, 0.9, 0.95, 1, 1.05, 1.1, 1.25, 1.4, 1.9 })
        {
            var hertz = nominal * ratio;

            // Handbook form: |H|^2 = 1 / (1 + ((w^2 - w0^2) / (B w))^(2n)), on the warped frequency axis of the bilinear transformation, n = 3.
            var (w, low, high) = (Math.Tan(Math.PI * hertz / SampleRateHz), Math.Tan(Math.PI * lower / SampleRateHz), Math.Tan(Math.PI * upper / SampleRateHz));
            var expected = -10 * Math.Log10(1 + Math.Pow(((w * w) - (low * high)) / ((high - low) * w), 6));
            Assert.Equal(expected, ResponseDb(sections, hertz), 1e-6);
        }
    }

    [Fact]
    public void ABandKeepsOutItsNeighbours()
    {
        // IEC 61260-1 (from memory) asks for more than 40 dB one octave away from a third-octave band and 60 dB two octaves away.
        var sections = ButterworthBandPass.Design(3, ThirdOctaveBands.Edges(1000).LowerHz, ThirdOctaveBands.Edges(1000).UpperHz, SampleRateHz);

        Assert.True(ResponseDb(sections, 500) < -41);
        Assert.True(ResponseDb(sections, 2000) < -41);
        Assert.True(ResponseDb(sections, 250) < -60);
    }

    [Fact]
    public void TheAverageIsOneOfEnergy()
    {
        var bank = new ThirdOctaveBank(SampleRateHz, [1000]);
        bank.Process(Sine(1000, SampleRateHz));
        bank.ResetAverage();
        bank.Process(Sine(1000, 10 * SampleRateHz));
        var on = Assert.Single(bank.Levels(120)).LevelDbSpl;
        bank.Process(new float[10 * SampleRateHz]);

        // Half the time silent: half the energy.
        Assert.Equal(on - 3.01, Assert.Single(bank.Levels(120)).LevelDbSpl, 0.01);
    }

    [Fact]
    public void AnyBlocksGiveTheSameLevels() => Prop.ForAll(
        Gen.Choose(1, 3000).ListOf(20).ToArbitrary(),
        Gen.Choose(1, 1000).ToArbitrary(),
        (blocks, seed) =>
        {
            var random = new System.Random(seed);
            float[] samples = [.. Enumerable.Range(0, blocks.Sum()).Select(_ => (float)(random.NextDouble() - 0.5))];
            var whole = new ThirdOctaveBank(SampleRateHz);
            var parts = new ThirdOctaveBank(SampleRateHz);
            whole.Process(samples);
            var position = 0;
            foreach (var block in blocks)
            {
                parts.Process(samples.AsSpan(position, block));
                position += block;
            }

            return whole.Levels(120).Zip(parts.Levels(120)).All(pair => Math.Abs(pair.First.LevelDbSpl - pair.Second.LevelDbSpl) < 1e-9);
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void EveryBandAgreesWithAFilterRunByItself()
    {
        var random = new System.Random(3);
        float[] samples = [.. Enumerable.Range(0, 20_000).Select(_ => (float)(random.NextDouble() - 0.5))];
        var bank = new ThirdOctaveBank(SampleRateHz);
        bank.Process(samples);

        // The slow plain form: one band, one sample, one section after the other.
        Assert.All(bank.Levels(120), level =>
        {
            var (lower, upper) = ThirdOctaveBands.Edges(level.BandHz);
            var signal = samples.Select(sample => (double)sample).ToArray();
            foreach (var section in ButterworthBandPass.Design(3, lower, upper, SampleRateHz))
            {
                var output = new double[signal.Length];
                for (var i = 0; i < signal.Length; i++)
                {
                    output[i] = section.Gain * (signal[i] - (i >= 2 ? signal[i - 2] : 0))
                        - (i >= 1 ? section.A1 * output[i - 1] : 0)
                        - (i >= 2 ? section.A2 * output[i - 2] : 0);
                }

                signal = output;
            }

            Assert.Equal(120 + (10 * Math.Log10(signal.Average(value => value * value))), level.LevelDbSpl, 1e-6);
        });
    }

    [Fact]
    public void BeforeTheFirstSampleThereAreNoLevelsAndSilenceHasAFloor()
    {
        var bank = new ThirdOctaveBank(SampleRateHz);

        Assert.Empty(bank.Levels(120));
        bank.Process(new float[480]);
        Assert.All(bank.Levels(120), level => Assert.Equal(ThirdOctaveBank.LowestReportedDbSpl, level.LevelDbSpl));
        bank.Reset();
        Assert.Empty(bank.Levels(120));
    }

    [Fact]
    public void ABrokenMicrophoneShowsAsNoiseAndDoesNotStayInTheFilters()
    {
        var bank = new ThirdOctaveBank(SampleRateHz);
        bank.Process([float.NaN, float.PositiveInfinity, float.NaN]);
        bank.Process(new float[480]);

        Assert.All(bank.Levels(120), level => Assert.True(double.IsFinite(level.LevelDbSpl)));
        Assert.True(bank.Levels(120)[^1].LevelDbSpl > 60);
    }

    [Fact]
    public void ABandTheSampleRateCannotHoldIsRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new ThirdOctaveBank(16_000));
        Assert.Throws<ArgumentOutOfRangeException>(() => new ThirdOctaveBank(SampleRateHz, [1001]));
    }

    private static double LevelOfSine(double nominal, double hertz)
    {
        var bank = new ThirdOctaveBank(SampleRateHz, [nominal]);
        var sine = Sine(hertz, 3 * SampleRateHz);
        bank.Process(sine.AsSpan(0, SampleRateHz));
        bank.ResetAverage();
        bank.Process(sine.AsSpan(SampleRateHz));
        return Assert.Single(bank.Levels(120)).LevelDbSpl;
    }

    private static float[] Sine(double hertz, int frames) =>
        [.. Enumerable.Range(0, frames).Select(i => (float)(0.1 * Math.Sin(Math.Tau * hertz * i / SampleRateHz)))];

    private static double ResponseDb(BandPassSection[] sections, double hertz)
    {
        var z = System.Numerics.Complex.FromPolarCoordinates(1, -Math.Tau * hertz / SampleRateHz);
        var response = sections.Aggregate(
            System.Numerics.Complex.One,
            (product, section) => product * section.Gain * (1 - (z * z)) / (1 + (section.A1 * z) + (section.A2 * z * z)));
        return 20 * Math.Log10(response.Magnitude);
    }
}
