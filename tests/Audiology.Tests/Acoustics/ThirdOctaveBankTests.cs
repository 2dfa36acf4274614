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
        var sections = ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, SampleRateHz);

        foreach (var ratio in new[] { 0.25, 0.5, 0.7, 0.8, 0.9, 0.95, 1, 1.05, 1.1, 1.25, 1.4, 1.9 })
        {
            var hertz = nominal * ratio;

            // Handbook form: |H|^2 = 1 / (1 + ((w^2 - w0^2) / (B w))^(2n)), on the warped frequency axis of the bilinear transformation, n = 4.
            var (w, low, high) = (Math.Tan(Math.PI * hertz / SampleRateHz), Math.Tan(Math.PI * lower / SampleRateHz), Math.Tan(Math.PI * upper / SampleRateHz));
            var expected = -10 * Math.Log10(1 + Math.Pow(((w * w) - (low * high)) / ((high - low) * w), 8));
            Assert.Equal(expected, FilterResponse.Db(sections, hertz, SampleRateHz), 1e-6);
        }
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

    [Theory]
    [InlineData(29)]
    [InlineData(21)]
    [InlineData(8)]
    [InlineData(3)]
    [InlineData(1)]
    public void EveryWidthOfVectorAgreesWithThePlainFilter(int bands)
    {
        var random = new System.Random(3);
        float[] samples = [.. Enumerable.Range(0, 20_000).Select(_ => (float)(random.NextDouble() - 0.5))];
        double[] nominal = [.. ThirdOctaveBands.All.TakeLast(bands)];
        var plan = new BandPlan(SampleRateHz, [.. nominal.Select(ThirdOctaveBands.Edges)]);
        double[] plain = [.. nominal.Select((band, index) => plan.Places[index] switch
        {
            { Rate: BandRate.Quarter } place => PlainBank.MeanSquare(plan.Quarter[place.Index], 4, samples),
            { Rate: BandRate.Sixteenth } place => PlainBank.MeanSquare(plan.Sixteenth[place.Index], 16, samples),
            var place => PlainBank.MeanSquare(plan.FullRate[place.Index], samples),
        })];

        // A width the machine lacks is carried out in pieces by the run-time, so all three are tested everywhere.
        foreach (var width in Enum.GetValues<LaneWidth>())
        {
            var bank = new BankOfWidth(nominal, width);
            bank.Process(samples);
            for (var i = 0; i < bands; i++)
            {
                Assert.Equal(1, bank.MeanSquare(i) / plain[i], 1e-9);
            }
        }
    }

    [Fact]
    public void LowBandsAtALowerRateReadWhatTheFullRateReads()
    {
        var random = new System.Random(5);
        float[] samples = [.. Enumerable.Range(0, 10 * SampleRateHz).Select(_ => (float)(random.NextDouble() - 0.5))];
        var bank = new ThirdOctaveBank(SampleRateHz);
        bank.Process(samples);

        Assert.All(bank.Levels(120), level =>
        {
            var (lower, upper) = ThirdOctaveBands.Edges(level.BandHz);
            var full = PlainBank.MeanSquare(ButterworthBandPass.Design(BandBank.PrototypeOrder, lower, upper, SampleRateHz), samples);
            Assert.Equal(120 + (10 * Math.Log10(full)), level.LevelDbSpl, 0.01);
        });
        Assert.Equal(8, new BandPlan(SampleRateHz, [.. ThirdOctaveBands.All.Select(ThirdOctaveBands.Edges)]).FullRate.Count);
    }

    [Fact]
    public void OctavesAndThirdOctavesOfOneNoiseAgree()
    {
        var random = new System.Random(4);
        float[] samples = [.. Enumerable.Range(0, 10 * SampleRateHz).Select(_ => (float)(random.NextDouble() - 0.5))];
        var octaves = new OctaveBank(SampleRateHz);
        var thirds = new ThirdOctaveBank(SampleRateHz);
        octaves.Process(samples);
        thirds.Process(samples);
        var parts = thirds.Levels(120).ToDictionary(level => level.BandHz, level => Math.Pow(10, level.LevelDbSpl / 10));

        // The octave of 1 kHz is made of the third-octaves of 800, 1000 and 1250 Hz; the filters' skirts leave a little to their neighbours.
        Assert.Equal(10 * Math.Log10(parts[800] + parts[1000] + parts[1250]), octaves.Levels(120).Single(level => level.BandHz == 1000).LevelDbSpl, 0.2);
        Assert.Equal(OctaveBands.All, octaves.Levels(120).Select(level => level.BandHz));
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
        Assert.Equal(new InputFaults(3, 0), bank.Faults);
        Assert.Contains("no numbers", bank.Faults.Sentence(), StringComparison.Ordinal);
        bank.ResetAverage();
        Assert.False(bank.Faults.Any);
        Assert.Empty(bank.Faults.Sentence());
    }

    [Fact]
    public void SamplesAtFullScaleAreCountedAsClipped()
    {
        var bank = new ThirdOctaveBank(SampleRateHz);
        bank.Process([1f, -1f, 0.9999f, 32_767f / 32_768, -32_767f / 32_768, 2f]);

        Assert.Equal(new InputFaults(0, 5), bank.Faults);
        Assert.Contains("overloaded", bank.Faults.Sentence(), StringComparison.Ordinal);
    }

    [Fact]
    public void SilenceAfterSoundDoesNotSlowTheFiltersDown()
    {
        var bank = new ThirdOctaveBank(SampleRateHz);
        bank.Process([.. Enumerable.Repeat(0.5f, 480)]);
        bank.Process(new float[120 * SampleRateHz]);
        bank.ResetAverage();
        bank.Process(new float[480]);

        // Faded into denormal numbers, the states would still give a trace; flushed, they give none.
        Assert.All(Enumerable.Range(0, ThirdOctaveBands.All.Count), band => Assert.Equal(0, bank.MeanSquare(band)));
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

    private sealed class BankOfWidth(IReadOnlyList<double> bands, LaneWidth width) : BandBank(SampleRateHz, bands, ThirdOctaveBands.Edges, width)
    {
    }
}
