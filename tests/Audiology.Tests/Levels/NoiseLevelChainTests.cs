using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Levels;

public sealed class NoiseLevelChainTests
{
    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);
    private static readonly CalibrationRecord _supraAural = CalibrationRecords.Flat(TransducerKind.SupraAural, Coupler.Iec60318Part3, 130);

    [Fact]
    public void AMaskerOfFiftyDecibelsHasSixtyThreeInTheCoupler()
    {
        // Supra-aural earphone on IEC 60318-3, 1 kHz, a third of an octave: 50 + 7.0 (ISO 389-1, confirmed) + 6 (ISO 389-4, from memory) = 63.0 dB SPL, calculated.
        var noise = Playable(NoiseLevelChain.Masker(_supraAural, Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(50)));

        Assert.Equal(63, noise.SplInCouplerDb, 9);

        // A sine of the same root mean square has 63 dB SPL too: its peak is 63 - 130 dB re full scale.
        Assert.Equal(Math.Pow(10, (63 - 130) / 20.0), noise.Rms * Math.Sqrt(2), 12);
        Assert.Equal(56, noise.CeilingLevel.Decibels, 9);
        Assert.Equal(ValueStatus.FromMemory, noise.Status);
    }

    [Fact]
    public void TheCorrectionsAreThoseOfTheTable()
    {
        // ISO 389-4, a third of an octave, from memory: 125 Hz to 8 kHz.
        double[] printed = [4, 4, 4, 5, 6, 6, 6, 6, 5, 5, 5];

        Assert.Equal(printed, AudiometricFrequency.All.Select(frequency => MaskingCorrections.TryGet(frequency, out var correction) ? correction : double.NaN));
        Assert.DoesNotContain(AudiometricFrequency.ExtendedHigh, frequency => MaskingCorrections.TryGet(frequency, out _));
    }

    // ANSI S3.6 rule (from memory), calculated from the reference thresholds.
    [Theory]
    [InlineData(TransducerKind.SupraAural, Coupler.Iec60318Part3, 19.5)]
    [InlineData(TransducerKind.SupraAural, Coupler.Iec60318Part1, 20)]
    [InlineData(TransducerKind.Insert, Coupler.Iec60318Part5, 12.5)]
    [InlineData(TransducerKind.Insert, Coupler.Iec60318Part4, 18)]
    [InlineData(TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate, 18)]
    public void SpeechIsTwelveAndAHalfDecibelsOverTheThresholdAtOneKilohertz(TransducerKind kind, Coupler coupler, double splDb)
    {
        Assert.Equal(splDb, NoiseLevelChain.SpeechReferenceDb(kind, coupler));
        var noise = Playable(NoiseLevelChain.Speech(CalibrationRecords.Flat(kind, coupler, 140), Ear.Right, HearingLevel.FromDecibels(40)));
        Assert.Equal(splDb + 40, noise.SplInCouplerDb, 9);
    }

    [Fact]
    public void SpeechHasNoReferenceWhereTransducerAndCouplerDoNotBelongTogether() =>
        Assert.Null(NoiseLevelChain.SpeechReferenceDb(TransducerKind.Insert, Coupler.Iec60318Part3));

    [Fact]
    public void ABroadNoiseHasTheLevelOfAToneOfTheSameRootMeanSquare()
    {
        var noise = Playable(NoiseLevelChain.Broadband(_supraAural, Ear.Right, 70));

        Assert.Equal(70, 130 + (20 * Math.Log10(noise.Rms * Math.Sqrt(2))), 9);
        Assert.Equal(63, noise.CeilingLevel.Decibels, 9);
    }

    [Fact]
    public void ABandAboveEightKilohertzHasASoundPressureLevelButNoEffectiveMasking()
    {
        var twelve = AudiometricFrequency.FromHertz(12_500);
        var record = CalibrationRecords.Usual() with { TransducerKind = TransducerKind.HighFrequencyInsert, Entries = [new(Ear.Left, 12_500, 130, 60)] };

        Assert.Equal(60, Playable(NoiseLevelChain.NarrowBand(record, Ear.Left, twelve, 60)).SplInCouplerDb);
        Assert.Equal(LevelFaultCodes.CalibrationMissing, Refused(NoiseLevelChain.Masker(record, Ear.Left, twelve, HearingLevel.FromDecibels(20))).Code);
    }

    [Fact]
    public void WhateverForbidsAToneForbidsANoise()
    {
        var wrongCoupler = _supraAural with { Coupler = Coupler.Iec60318Part4 };
        var oneEar = _supraAural with { Entries = [new(Ear.Right, 1000, 130, 100)] };
        var absurd = _supraAural with { Entries = [new(Ear.Right, 1000, double.NaN, 100)] };

        Assert.Equal(LevelFaultCodes.CalibrationMismatch, Refused(NoiseLevelChain.Masker(wrongCoupler, Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(30))).Code);
        Assert.Equal(LevelFaultCodes.CalibrationMissing, Refused(NoiseLevelChain.Speech(oneEar, Ear.Left, HearingLevel.FromDecibels(30))).Code);
        Assert.Equal(LevelFaultCodes.CalibrationInvalid, Refused(NoiseLevelChain.Broadband(absurd, Ear.Right, 30)).Code);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    public void ALevelThatIsNoNumberIsRefused(double splDb) =>
        Assert.Equal(LevelFaultCodes.OverCeiling, Refused(NoiseLevelChain.Broadband(_supraAural, Ear.Right, splDb)).Code);

    [Fact]
    public void NoPeakOfANoiseGoesOverThoseOfTheLoudestTone() => Prop.ForAll(
        Gen.Choose(-100, 1400).Zip(Gen.Choose(-100, 1200)).ToArbitrary(),
        levels =>
        {
            var record = _supraAural with { Entries = [new(Ear.Right, 1000, 127, levels.Item2 / 10.0)] };
            if (LevelChain.Resolve(record, Ear.Right, _oneKilohertz, HearingLevel.FromDecibels(levels.Item2 / 10.0)) is not LevelResult.Playable tone)
            {
                return true;
            }

            return NoiseLevelChain.Broadband(record, Ear.Right, levels.Item1 / 10.0) switch
            {
                // Peaks of noise are four times its root mean square at most (held by the tests of the noise itself).
                LevelResult.PlayableNoise noise => noise.Rms * 4 <= tone.PeakAmplitude * 1.000001
                    && new BroadbandNoiseSpec(NoiseColour.White, noise.Rms, 1, ToneShape.Steady, 500, 48_000).Faults().Count == 0,
                LevelResult.Refused refused => refused.Fault.Code == LevelFaultCodes.OverCeiling && levels.Item1 / 10.0 > tone.SplInCouplerDb - 9.04,
                _ => false,
            };
        }).QuickCheckThrowOnFailure();

    private static LevelResult.PlayableNoise Playable(LevelResult result) => Assert.IsType<LevelResult.PlayableNoise>(result);

    private static LevelFault Refused(LevelResult result) => Assert.IsType<LevelResult.Refused>(result).Fault;
}
