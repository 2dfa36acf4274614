using FsCheck;
using FsCheck.Fluent;

namespace TeleHearing.Audiology.Tests;

public sealed class SmallTypesTests
{
    [Theory]
    [InlineData(0, 0)]
    [InlineData(0.1, 5)]
    [InlineData(-0.1, 0)]
    [InlineData(-5, -5)]
    [InlineData(10.001, 15)]
    [InlineData(10.0000000001, 10)]
    public void LevelsRoundUpToTheStep(double level, double rounded)
    {
        Assert.Equal(rounded, HearingLevels.RoundUpToStep(level));
    }

    [Fact]
    public void RoundingUpAndDownEncloseALevel() => Prop.ForAll(
        Gen.Choose(-2000, 14_000).Select(value => value / 100.0).ToArbitrary(),
        level => HearingLevels.RoundDownToStep(level) <= level + 1e-6
            && HearingLevels.RoundUpToStep(level) >= level - 1e-6
            && HearingLevels.RoundUpToStep(level) - HearingLevels.RoundDownToStep(level) is 0 or 5
            && HearingLevels.RoundUpToStep(-level) == -HearingLevels.RoundDownToStep(level)).QuickCheckThrowOnFailure();

    [Fact]
    public void HearingLevelsAreFiniteAndOrdered()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => HearingLevel.FromDecibels(double.NaN));
        Assert.Throws<ArgumentOutOfRangeException>(() => HearingLevel.FromDecibels(double.PositiveInfinity));
        Assert.True(HearingLevel.FromDecibels(40) > HearingLevel.FromDecibels(35));
        Assert.Equal(HearingLevel.FromDecibels(45), HearingLevel.FromDecibels(40).Raise(5));
        Assert.Equal("40 dB HL", HearingLevel.FromDecibels(40).ToString());
    }

    [Fact]
    public void OnlyTheElevenFrequenciesAreAudiometric()
    {
        // ISO 8253-1: 125 Hz to 8 kHz.
        Assert.Equal([125, 250, 500, 750, 1000, 1500, 2000, 3000, 4000, 6000, 8000], AudiometricFrequency.All.Select(frequency => frequency.Hertz));

        // ISO 389-5:2006, confirmed.
        Assert.Equal([9000, 10_000, 11_200, 12_500, 14_000, 16_000], AudiometricFrequency.ExtendedHigh.Select(frequency => frequency.Hertz));
        Assert.All(AudiometricFrequency.Both, frequency => Assert.Equal(frequency, AudiometricFrequency.FromHertz(frequency.Hertz)));
        Assert.True(AudiometricFrequency.TryConventional(8000, out _));
        Assert.False(AudiometricFrequency.TryConventional(9000, out _));
        Assert.False(AudiometricFrequency.TryFromHertz(1000.5, out _));
        Assert.False(AudiometricFrequency.TryFromHertz(double.NaN, out _));
        Assert.False(AudiometricFrequency.TryFromHertz(-1000, out _));
        Assert.Throws<ArgumentOutOfRangeException>(() => AudiometricFrequency.FromHertz(1100));
    }
}
