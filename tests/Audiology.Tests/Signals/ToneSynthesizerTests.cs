using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Signals;

public sealed class ToneSynthesizerTests
{
    private const int SampleRateHz = 48_000;

    [Fact]
    public void TheRiseTakesTwentyMillisecondsFromMinusTwentyToMinusOneDecibel()
    {
        // At 6000 Hz samples fall on the peaks of the sine, a sixth of a millisecond apart.
        var envelope = Envelope(Render(new ToneSpec(6000, 0.5, ToneShape.Steady, 1000, SampleRateHz)), 6000, 0.5);
        var tenth = FirstAbove(envelope, Math.Pow(10, -20.0 / 20));
        var minusOne = FirstAbove(envelope, Math.Pow(10, -1.0 / 20));

        // IEC 60645-1 (from memory): at least 20 ms. Raised cosine of 35 ms: 0.581 x 35 = 20.3 ms, calculated.
        Assert.Equal(20.3, (minusOne - tenth) * 1000.0 / SampleRateHz, 0.1);
        Assert.True(envelope.Max() <= 1.0001, "IEC 60645-1 (from memory) allows 1 dB of overshoot; there is none.");
    }

    [Fact]
    public void RiseAndFallMirrorEachOther()
    {
        // 1000 Hz over a whole number of frames: the last ramp is the first one backwards.
        var samples = Render(new ToneSpec(1000, 1, ToneShape.Steady, 500, SampleRateHz));
        var envelope = Envelope(samples, 1000, 1);
        var rise = FirstAbove(envelope, 0.5);
        var fall = envelope.Length - 1 - Array.FindLastIndex(envelope, value => value >= 0.5);

        Assert.Equal(rise, fall, 48.0);
        Assert.Equal(0, samples[0]);
        Assert.Equal(0, samples[^1]);
    }

    [Theory]
    [InlineData(125)]
    [InlineData(1000)]
    [InlineData(1500)]
    [InlineData(6000)]
    [InlineData(8000)]
    public void ThePlateauIsAPureSineOfTheFrequencyAndLevelAsked(double hertz)
    {
        var samples = Render(new ToneSpec(hertz, 0.25, ToneShape.Steady, 1200, SampleRateHz));
        var plateau = samples[4800..52_800];
        var (sine, cosine, energy) = (0.0, 0.0, 0.0);
        for (var i = 0; i < plateau.Length; i++)
        {
            // One second exactly, so that whole cycles are projected.
            var phase = Math.Tau * hertz * (i + 4800) / SampleRateHz;
            sine += 2 * plateau[i] * Math.Sin(phase) / plateau.Length;
            cosine += 2 * plateau[i] * Math.Cos(phase) / plateau.Length;
            energy += (double)plateau[i] * plateau[i] / plateau.Length;
        }

        Assert.Equal(0.25, sine, 6);
        Assert.Equal(0, cosine, 6);

        // IEC 60645-1 (from memory) allows 2.5 % distortion; what is not the sine is below a thousandth of a percent.
        Assert.True(Math.Abs(energy - (sine * sine / 2)) < energy * 1e-10);
    }

    [Fact]
    public void PulsesAreOnAndOffForTwoHundredAndTwentyFiveMilliseconds()
    {
        const double hertz = 2000;
        var spec = new ToneSpec(hertz, 1, ToneShape.Pulsed, 2000, SampleRateHz);
        var envelope = Envelope(Render(spec), hertz, 1);
        var minusFive = Math.Pow(10, -5.0 / 20);
        var on = FirstAbove(envelope, minusFive);
        var off = Array.FindIndex(envelope, on, value => value < minusFive);
        var onAgain = Array.FindIndex(envelope, off, value => value >= minusFive);

        // IEC 60645-1 (from memory): 225 +- 35 ms on and off between -5 dB points, plateau of 150 ms at least.
        Assert.Equal(225, (off - on) * 1000.0 / SampleRateHz, 0.5);
        Assert.Equal(225, (onAgain - off) * 1000.0 / SampleRateHz, 0.5);
        var plateau = Array.FindIndex(envelope, on, value => value >= 0.9999);
        Assert.True((Array.FindIndex(envelope, plateau, value => value < 0.999) - plateau) * 1000.0 / SampleRateHz >= 150);
    }

    [Fact]
    public void APulsedToneEndsWithAWholePulseInsideItsLength()
    {
        var tone = new ToneSynthesizer(new ToneSpec(1000, 1, ToneShape.Pulsed, 1500, SampleRateHz));
        var samples = Render(tone.Spec);

        Assert.True(tone.TotalFrames <= 1500 * SampleRateHz / 1000);

        // Two periods of 450 ms and one pulse.
        Assert.Equal(900 + PulsePattern.PulseMs, tone.TotalFrames * 1000.0 / SampleRateHz, 0.05);
        Assert.Equal(0, samples[^1]);
    }

    [Theory]
    [InlineData(ToneShape.Steady)]
    [InlineData(ToneShape.Pulsed)]
    public void AnyBlocksGiveTheSameSamples(ToneShape shape) => Prop.ForAll(
        Gen.Choose(1, 5000).ListOf(30).ToArbitrary(),
        blocks =>
        {
            var tone = new ToneSynthesizer(new ToneSpec(1500, 0.7, shape, 900, SampleRateHz));
            var whole = Render(tone.Spec);
            var position = 0;
            foreach (var block in blocks)
            {
                var length = Math.Min(block, whole.Length - position);
                var part = new float[length];
                tone.Render(position, part);
                if (!part.AsSpan().SequenceEqual(whole.AsSpan(position, length)))
                {
                    return false;
                }

                position += length;
            }

            return true;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void BeforeTheFirstAndAfterTheLastFrameThereIsSilence()
    {
        var tone = new ToneSynthesizer(new ToneSpec(1000, 1, ToneShape.Steady, 200, SampleRateHz));
        var samples = new float[100];

        tone.Render(-100, samples);
        Assert.All(samples, sample => Assert.Equal(0, sample));
        tone.Render(tone.TotalFrames, samples);
        Assert.All(samples, sample => Assert.Equal(0, sample));
    }

    [Fact]
    public void ThePhaseIsExactAfterAMinute()
    {
        var tone = new ToneSynthesizer(new ToneSpec(8000, 1, ToneShape.Steady, 60_000, SampleRateHz));
        var early = new float[48];
        var late = new float[48];

        tone.Render(48_000, early);
        tone.Render(58 * 48_000, late);

        // Whole seconds apart the sine of a whole number of hertz repeats.
        Assert.All(early.Zip(late), pair => Assert.Equal(pair.First, pair.Second, 1e-7));
    }

    [Theory]
    [InlineData(0, 1, 500)]
    [InlineData(24_000, 1, 500)]
    [InlineData(double.NaN, 1, 500)]
    [InlineData(1000, 1.01, 500)]
    [InlineData(1000, -0.1, 500)]
    [InlineData(1000, double.NaN, 500)]
    [InlineData(1000, 1, 50)]
    [InlineData(1000, 1, 60_001)]
    [InlineData(1000, 1, double.NaN)]
    public void AToneOutsideItsRangesIsRefused(double hertz, double amplitude, double durationMs)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new ToneSynthesizer(new ToneSpec(hertz, amplitude, ToneShape.Steady, durationMs, SampleRateHz)));
    }

    private static float[] Render(ToneSpec spec)
    {
        var tone = new ToneSynthesizer(spec);
        var samples = new float[tone.TotalFrames];
        tone.Render(0, samples);
        return samples;
    }

    // The largest magnitude within half a period around each frame, over the amplitude: the envelope without knowing how it was made.
    private static double[] Envelope(float[] samples, double hertz, double amplitude)
    {
        var reach = (int)Math.Ceiling(SampleRateHz / hertz / 4);
        return [.. Enumerable.Range(0, samples.Length).Select(i =>
            samples[Math.Max(0, i - reach)..Math.Min(samples.Length, i + reach + 1)].Max(sample => Math.Abs(sample)) / amplitude)];
    }

    private static int FirstAbove(double[] envelope, double level) => Array.FindIndex(envelope, value => value >= level);
}
