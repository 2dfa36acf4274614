using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Acoustics;

/// <summary>What measures a recording, against sounds whose every property is known beforehand.</summary>
public sealed class ToneMeasurementTests
{
    private const int Rate = 48_000;

    private static float[] Make(int frames, Func<double, double> sample) => [.. Enumerable.Range(0, frames).Select(frame => (float)sample(frame / (double)Rate))];

    private static float[] Render(StimulusSpec spec, int before = 0, int after = 0)
    {
        var sound = Stimulus.Make(spec);
        var samples = new float[before + sound.TotalFrames + after];
        sound.Render(-before, samples);
        return samples;
    }

    [Theory]
    [InlineData(125, 0.5)]
    [InlineData(1000.37, 0.01)]
    [InlineData(8003, 1e-5)]
    [InlineData(16_000, 0.9)]
    public void ASineIsFoundWithItsFrequencyAndLevel(double hertz, double amplitude)
    {
        var fit = SineFit.Fit(Make(6000, time => 0.001 + (amplitude * Math.Sin((Math.Tau * hertz * time) + 1))), Rate, Math.Round(hertz));

        Assert.Equal(hertz, fit.FrequencyHz, hertz * 1e-6);
        Assert.Equal(20 * Math.Log10(amplitude), fit.LevelDb, 0.001);
    }

    [Fact]
    public void DistortionIsReadInPercentOfTheTone()
    {
        // 2 % at the second and 1.5 % at the third harmonic: together sqrt(2^2 + 1.5^2) = 2.5 %
        var fit = SineFit.Fit(Make(24_000, time => 0.5 * (Math.Sin(Math.Tau * 1000 * time) + (0.02 * Math.Sin(Math.Tau * 2000 * time)) + (0.015 * Math.Sin(Math.Tau * 3000 * time)))), Rate, 1000);

        Assert.Equal(2.5, fit.HarmonicPercent, 0.001);
        Assert.Equal(20 * Math.Log10(0.025), fit.DistortionAndNoiseDb, 0.01);
    }

    [Fact]
    public void NoiseStatesByHowMuchItMayHaveMovedTheLevel()
    {
        var random = new Random(1);
        var errors = Enumerable.Range(0, 200)
            .Select(_ => SineFit.Fit(Make(4800, time => (0.01 * Math.Sin(Math.Tau * 1000 * time)) + (0.01 * (random.NextDouble() - 0.5) * Math.Sqrt(12))), Rate, 1000))
            .Select(fit => (Error: fit.LevelDb + 40, fit.LevelSpreadDb))
            .ToList();

        var seen = Math.Sqrt(errors.Average(error => error.Error * error.Error));
        Assert.InRange(seen / errors.Average(error => error.LevelSpreadDb), 0.8, 1.2);
    }

    [Fact]
    public void ASilentStretchHasNoLevel() => Assert.Equal(double.NegativeInfinity, SineFit.Fit(new float[4800], Rate, 1000).LevelDb);

    [Theory]
    [InlineData(0)]
    [InlineData(24_000)]
    [InlineData(double.NaN)]
    public void AnImpossibleFrequencyIsRefused(double hertz) => Assert.Throws<ArgumentOutOfRangeException>(() => SineFit.Fit(new float[4800], Rate, hertz));

    public static TheoryData<int> Frequencies => [.. AudiometricFrequency.Both.Select(frequency => frequency.Hertz)];

    [Theory]
    [MemberData(nameof(Frequencies))]
    public void ARaisedCosineRampOf35MsTakes20Point3MsFromMinus20ToMinus1DbAtEveryFrequency(int hertz)
    {
        // handbook arithmetic: -20 dB at 0.2048 T, -1 dB at 0.7861 T, so 0.581 T = 20.3 ms; at low frequencies a little more, as documented
        var samples = Render(new ToneSpec(hertz, 0.1, ToneShape.Steady, 500, Rate), 2400, 2400);
        var longer = hertz switch { 125 => 0.75, 250 => 0.3, _ => 0.15 };

        var burst = Assert.Single(ToneEnvelope.Bursts(ToneEnvelope.Of(samples, Rate, hertz), Rate, 0.1));

        Assert.InRange(burst.RiseMs, 20.2, 20.34 + longer);
        Assert.InRange(burst.FallMs, 20.2, 20.34 + longer);
        Assert.InRange(burst.OvershootDb, -0.01, 0.01);
    }

    [Fact]
    public void AnOvershootIsSeen()
    {
        var samples = Make(24_000, time => time is < 0.05 or > 0.4 ? 0 : 0.1 * (time < 0.1 ? 1.2 : 1) * Math.Sin(Math.Tau * 1000 * time));

        var burst = Assert.Single(ToneEnvelope.Bursts(ToneEnvelope.Of(samples, Rate, 1000), Rate, 0.1));

        Assert.Equal(20 * Math.Log10(1.2), burst.OvershootDb, 0.01);
        Assert.InRange(burst.RiseMs, 0, 1.5);
    }

    [Theory]
    [MemberData(nameof(Frequencies))]
    public void PulsesAre225MsOnBetweenTheirMinus5DbPointsAtEveryFrequency(int hertz)
    {
        var samples = Render(new ToneSpec(hertz, 0.1, ToneShape.Pulsed, 2000, Rate), 4800, 4800);

        var bursts = ToneEnvelope.Bursts(ToneEnvelope.Of(samples, Rate, hertz), Rate, 0.1);

        Assert.Equal(4, bursts.Count);
        Assert.All(bursts, burst => Assert.Equal(225, burst.OnMs, 0.2));
        Assert.Equal(225, (bursts[1].StartFrame - bursts[0].EndFrame) * 1000 / Rate, 0.2);
    }

    [Theory]
    [MemberData(nameof(Frequencies))]
    public void AWarbleToneIsFoundWithItsSwingAtEveryFrequency(int hertz)
    {
        foreach (var (rate, deviation) in new[] { (5.0, 5.0), (5.0, 10.0), (8.0, 20.0) })
        {
            var samples = Render(new WarbleSpec(hertz, 0.1, rate, deviation, ToneShape.Steady, 1200, Rate));

            var swing = FrequencySwing.Measure(samples.AsSpan(2400, 52_800), Rate, hertz);

            Assert.NotNull(swing);
            Assert.Equal(hertz, swing.MeanHz, hertz * 0.005);
            Assert.Equal(deviation, swing.DeviationPercent, deviation * 0.02);
            Assert.Equal(rate, swing.RateHz, rate * 0.01);
        }
    }

    [Fact]
    public void ASteadyToneHasNoSwing() =>
        Assert.Null(FrequencySwing.Measure(Make(9600, time => 0.1 * Math.Sin(Math.Tau * 1000 * time)), Rate, 1000) is { DeviationPercent: > 0.01 } swing ? swing : null);

    [Fact]
    public void ABandOfNoiseHasTheEdgesItWasMadeWith()
    {
        // lines of equal height from 900 to 1130 Hz: 0.328 octaves
        const int Length = 1 << 16;
        var random = new Random(2);
        var phases = Enumerable.Range(0, Length / 2).Select(_ => random.NextDouble() * Math.Tau).ToArray();
        var (from, to) = ((int)Math.Round(900.0 * Length / Rate), (int)Math.Round(1130.0 * Length / Rate));
        var samples = new float[Length];
        for (var line = from; line <= to; line++)
        {
            for (var n = 0; n < Length; n++)
            {
                samples[n] += (float)(0.001 * Math.Cos((Math.Tau * ((long)line * n % Length) / Length) + phases[line]));
            }
        }

        var shape = NoiseBandShape.Measure(samples, Rate, 1000);

        Assert.NotNull(shape);
        Assert.Equal(900, shape.LowerHz, 8.0);
        Assert.Equal(1130, shape.UpperHz, 8.0);
        Assert.InRange(shape.SkirtExcessDb, -300, -20);
    }

    [Fact]
    public void WhiteNoiseIsNoBand()
    {
        var random = new Random(3);

        var shape = NoiseBandShape.Measure(Make(1 << 15, _ => 0.1 * (random.NextDouble() - 0.5)), Rate, 1000);

        Assert.False(shape is { SkirtExcessDb: <= 0 } && shape.Octaves is > 0.33 and < 0.5);
    }
}
