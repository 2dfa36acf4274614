using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Levels;

public sealed class SoundDoseMeterTests
{
    // NIOSH 1998, times a day by level in dB(A), s; 100 % each.
    [Theory]
    [InlineData(85, 28_800)]
    [InlineData(90, 9071.4)]
    [InlineData(95, 2857.3)]
    [InlineData(100, 900)]
    [InlineData(105, 283.5)]
    [InlineData(110, 89.3)]
    [InlineData(115, 28.1)]
    [InlineData(120, 8.9)]
    public void ADaysTimeIsAWholeDose(double levelDbA, double seconds)
    {
        Assert.Equal(seconds, SoundDoseMeter.AllowedSeconds(levelDbA), 0.05);
        Assert.Equal(100, SoundDoseMeter.Empty.Add(new SoundExposure(Ear.Left, levelDbA, seconds)).LeftPercent, 0.6);
    }

    [Fact]
    public void TheEarsAreCountedApartAndEverythingAddsUp()
    {
        var meter = SoundDoseMeter.Empty
            .Add(new SoundExposure(Ear.Right, 85, 2880))
            .Add(new SoundExposure(Ear.Right, 88, 1440))
            .Add(new SoundExposure(Ear.Left, 100, 90));

        Assert.Equal(20, meter.RightPercent, 9);
        Assert.Equal(10, meter.LeftPercent, 9);
        Assert.Equal(meter, meter.Add(new SoundExposure(Ear.Left, 120, 0)));
    }

    [Fact]
    public void ADoseOnlyGrowsAndDoesNotCareForTheOrder() => Prop.ForAll(
        Gen.Choose(0, 130).Zip(Gen.Choose(0, 3000)).ListOf(8).ToArbitrary(),
        sounds =>
        {
            var exposures = sounds.Select((sound, i) => new SoundExposure(i % 2 == 0 ? Ear.Left : Ear.Right, sound.Item1, sound.Item2)).ToList();
            var forwards = exposures.Aggregate(SoundDoseMeter.Empty, (meter, exposure) => meter.Add(exposure));
            var backwards = Enumerable.Reverse(exposures).Aggregate(SoundDoseMeter.Empty, (meter, exposure) => meter.Add(exposure));
            return Math.Abs(forwards.LeftPercent - backwards.LeftPercent) <= 1e-9 * forwards.LeftPercent
                && forwards.Add(new SoundExposure(Ear.Left, 60, 1)).LeftPercent > forwards.LeftPercent;
        }).QuickCheckThrowOnFailure();

    [Theory]
    [InlineData(double.NaN, 1)]
    [InlineData(80, double.NaN)]
    [InlineData(80, -1)]
    [InlineData(double.PositiveInfinity, 1)]
    public void WhatIsNoExposureIsRefused(double levelDbA, double seconds) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => SoundDoseMeter.Empty.Add(new SoundExposure(Ear.Left, levelDbA, seconds)));

    [Fact]
    public void AToneIsCarriedOverByTheThresholdInADiffuseField()
    {
        double Of(int hertz, double level, double splDb) => DiffuseFieldLevel.OfTone(AudiometricFrequency.FromHertz(hertz), HearingLevel.FromDecibels(level), splDb);

        // ISO 389-7:2005, Table 1 (confirmed): 0.8 dB at 1 kHz, -3.8 at 4 kHz, 22.1 at 125 Hz; A-weighting 0, +1.0, -16.1 dB (IEC 61672-1, Table 3, from memory).
        Assert.Equal(100.8, Of(1000, 100, 107), 0.01);
        Assert.Equal(90 - 3.8 + 1.0, Of(4000, 90, 99.5), 0.05);
        Assert.Equal(60 + 22.1 - 16.1, Of(125, 60, 105), 0.1);

        // Above 8 kHz the level in the coupler is taken.
        Assert.Equal(107, Of(16_000, 51, 107));
    }

    [Fact]
    public void ANoiseIsWeightedByItsOwnSpectrum()
    {
        double Of(NoiseColour colour) => DiffuseFieldLevel.OfNoise(colour, HearingLevel.FromDecibels(80)) - 80.8;

        // By scipy's quadrature of the formula of IEC 61672-1 over each spectrum, calculated: -2.05, -2.86 and -1.60 dB.
        Assert.Equal(-2.05, Of(NoiseColour.White), 0.03);
        Assert.Equal(-2.86, Of(NoiseColour.Pink), 0.03);
        Assert.Equal(-1.60, Of(NoiseColour.Speech), 0.03);
    }
}
