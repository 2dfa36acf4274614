using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Acoustics;

namespace TeleHearing.Audiology.Tests.Acoustics;

public sealed class SoundLevelMeterTests
{
    private const int SampleRateHz = 48_000;

    // IEC 61672-1, Table of reference 4 kHz toneburst responses of the fast and slow maximum re the steady level: 10 lg (1 - exp(-T / tau)), from memory: printed to a tenth.
    [Theory]
    [InlineData(1000, 0.0, -2.0)]
    [InlineData(500, -0.1, -4.1)]
    [InlineData(200, -1.0, -7.4)]
    [InlineData(50, -4.8, -13.1)]
    [InlineData(10, -11.1, -20.0)]
    [InlineData(2, -18.0, -27.0)]
    public void ABurstReadsAsTheTimeWeightingsSay(int milliseconds, double fast, double slow)
    {
        var meter = new SoundLevelMeter(FrequencyWeighting.A, SampleRateHz, 120);
        meter.Add(Tone(4000, 8));
        meter.Restart();
        meter.Add(Tone(4000, 1));
        var steady = meter.Result()!.EquivalentDb;
        meter.Add(new float[20 * SampleRateHz]);
        meter.Restart();

        meter.Add(Tone(4000, milliseconds / 1000.0));
        meter.Add(new float[SampleRateHz / 10]);

        Assert.Equal(steady + fast, meter.Result()!.HighestFastDb, 0.1);
        Assert.Equal(steady + slow, meter.Result()!.HighestSlowDb, 0.1);
    }

    [Fact]
    public void FastFallsByThirtyFourPointSevenDecibelsASecondAndSlowByFourPointThree()
    {
        // IEC 61672-1: decay of the time weightings, 34.7 and 4.3 dB a second (10 lg e / tau).
        var meter = new SoundLevelMeter(FrequencyWeighting.Z, SampleRateHz, 120);
        meter.Add(Tone(4000, 5));
        meter.Add(new float[SampleRateHz / 2]);
        var (fast, slow) = (meter.FastDb, meter.SlowDb);
        meter.Add(new float[SampleRateHz]);

        Assert.Equal(34.7, fast - meter.FastDb, 0.1);
        Assert.Equal(4.3, slow - meter.SlowDb, 0.1);
    }

    [Fact]
    public void TheEquivalentLevelIsOneOfEnergyAndThePeakIsThatOfTheHighestSample()
    {
        var meter = new SoundLevelMeter(FrequencyWeighting.Z, SampleRateHz, 94);
        meter.Add(Tone(1000, 1));
        meter.Add(new float[SampleRateHz]);
        var result = meter.Result()!;

        // A sine of peak 0.5: root mean square 0.3536, -9.03 dB; half the time silent, -3.01 dB; its peak 3.01 dB over its root mean square.
        Assert.Equal(94 - 9.03 - 3.01, result.EquivalentDb, 0.01);
        Assert.Equal(94 - 6.02, result.PeakDb, 0.01);
        Assert.Equal(2, result.Seconds, 1e-9);
        Assert.True(result.Valid);
    }

    [Fact]
    public void PercentilesAreLevelsExceededThatPartOfTheTime()
    {
        var meter = new SoundLevelMeter(FrequencyWeighting.Z, SampleRateHz, 100);
        for (var step = 0; step < 10; step++)
        {
            // ten levels 10 dB apart, rising, each for ten seconds
            meter.Add(Tone(1000, 10, Math.Pow(10, -(9 - step) / 2.0)));
        }

        var top = 100 - 3.01;

        Assert.Equal(top - 10, meter.ExceededDb(12)!.Value, 0.5);
        Assert.Equal(top - 40, meter.ExceededDb(48)!.Value, 0.5);
        Assert.Equal(top - 80, meter.ExceededDb(88)!.Value, 0.5);
        var result = meter.Result()!;
        Assert.True(result.L10Db > result.L50Db && result.L50Db > result.L90Db);
    }

    [Fact]
    public void SamplesThatAreNoNumbersOrClippedMakeTheMeasurementInvalidAndNeverQuiet()
    {
        var meter = new SoundLevelMeter(FrequencyWeighting.A, SampleRateHz, 120);
        var broken = Tone(1000, 1);
        broken[7] = float.NaN;
        broken[9] = float.NegativeInfinity;
        broken[11] = 1.5f;
        meter.Add(broken);
        var result = meter.Result()!;

        Assert.False(result.Valid);
        Assert.Equal(new InputFaults(2, 1), result.Faults);
        Assert.True(double.IsFinite(result.EquivalentDb));
        meter.Add(new float[30 * SampleRateHz]);
        meter.Restart();
        meter.Add(Tone(1000, 1));
        Assert.True(meter.Result()!.Valid);
        Assert.Equal(120 - 9.03, meter.Result()!.EquivalentDb, 0.02);
    }

    [Fact]
    public void BeforeTheFirstSampleThereIsNoResult()
    {
        var meter = new SoundLevelMeter(FrequencyWeighting.C, SampleRateHz, 120);

        Assert.Null(meter.Result());
        Assert.Null(meter.ExceededDb(50));
        meter.Add(new float[100]);
        Assert.Equal(BandBank.LowestReportedDbSpl, meter.Result()!.EquivalentDb);
        Assert.Null(meter.Result()!.L50Db);
        Assert.Throws<ArgumentOutOfRangeException>(() => new SoundLevelMeter(FrequencyWeighting.C, SampleRateHz, double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => new SoundLevelMeter(FrequencyWeighting.C, 4000, 94));
    }

    [Fact]
    public void AnyBlocksGiveTheSameResult() => Prop.ForAll(
        Gen.Choose(1, 3000).ListOf(20).ToArbitrary(),
        Gen.Choose(1, 1000).ToArbitrary(),
        (blocks, seed) =>
        {
            var random = new System.Random(seed);
            float[] samples = [.. Enumerable.Range(0, blocks.Sum()).Select(_ => (float)(random.NextDouble() - 0.5))];
            var whole = new SoundLevelMeter(FrequencyWeighting.A, SampleRateHz, 120);
            var parts = new SoundLevelMeter(FrequencyWeighting.A, SampleRateHz, 120);
            whole.Add(samples);
            var position = 0;
            foreach (var block in blocks)
            {
                parts.Add(samples.AsSpan(position, block));
                position += block;
            }

            return whole.Result() == parts.Result();
        }).QuickCheckThrowOnFailure();

    private static float[] Tone(double hertz, double seconds, double peak = 0.5) =>
        [.. Enumerable.Range(0, (int)(seconds * SampleRateHz)).Select(i => (float)(Math.Min(peak, 0.9999) * Math.Sin(Math.Tau * hertz * i / SampleRateHz)))];
}
