using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Signals;

public sealed class TwoEarStimulusTests
{
    private const int SampleRateHz = 48_000;
    private static readonly IStimulus _tone = Stimulus.Make(new ToneSpec(1000, 0.5, ToneShape.Steady, 200, SampleRateHz));
    private static readonly IStimulus _masker = Stimulus.Make(new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(1000), 0.1, 3, ToneShape.Steady, 500, SampleRateHz));

    [Theory]
    [InlineData(Ear.Left, 0)]
    [InlineData(Ear.Right, 1)]
    public void TheOtherEarGetsExactlyNothing(Ear ear, int channel)
    {
        var stereo = Render(TwoEarStimulus.ToOneEar(ear, _tone));

        Assert.Equal(Mono(_tone), Channel(stereo, channel));
        Assert.All(Channel(stereo, 1 - channel), sample => Assert.Equal(0f, sample));
    }

    [Fact]
    public void TheSameToBothEarsIsTheSame()
    {
        var stereo = Render(TwoEarStimulus.ToBothEars(_tone));

        Assert.Equal(Channel(stereo, 0), Channel(stereo, 1));
    }

    [Theory]
    [InlineData(Ear.Left)]
    [InlineData(Ear.Right)]
    public void TheMaskerSoundsInTheOtherEarAndTheToneBeginsAtItsFrame(Ear ear)
    {
        var both = TwoEarStimulus.Masked(ear, _tone, _masker, 4801);
        var stereo = Render(both);
        var channel = ear == Ear.Left ? 0 : 1;

        Assert.Equal(_masker.TotalFrames, both.TotalFrames);
        Assert.Equal(Mono(_masker), Channel(stereo, 1 - channel));
        Assert.All(Channel(stereo, channel)[..4801], sample => Assert.Equal(0f, sample));
        Assert.Equal(Mono(_tone), Channel(stereo, channel)[4801..(4801 + (int)_tone.TotalFrames)]);
    }

    [Fact]
    public void LeftAndRightAreEachOthersMirror()
    {
        var left = Render(TwoEarStimulus.Masked(Ear.Left, _tone, _masker, 777));
        var right = Render(TwoEarStimulus.Masked(Ear.Right, _tone, _masker, 777));

        Assert.Equal(Channel(left, 0), Channel(right, 1));
        Assert.Equal(Channel(left, 1), Channel(right, 0));
    }

    [Fact]
    public void WhatCannotBeIsRefused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => TwoEarStimulus.Masked(Ear.Left, _tone, _masker, -1));
        Assert.Throws<ArgumentException>(() => TwoEarStimulus.ToBothEars(_tone).Render(0, new float[3]));
        Assert.Equal(0, new TwoEarStimulus(null, null).TotalFrames);
    }

    private static float[] Render(TwoEarStimulus both)
    {
        var stereo = new float[2 * both.TotalFrames];
        both.Render(0, stereo);
        return stereo;
    }

    private static float[] Mono(IStimulus sound)
    {
        var samples = new float[sound.TotalFrames];
        sound.Render(0, samples);
        return samples;
    }

    private static float[] Channel(float[] stereo, int channel) => [.. stereo.Where((_, i) => i % 2 == channel)];
}
