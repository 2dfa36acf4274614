using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Tests.Levels;

public sealed class LevelChainTests
{
    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);
    private static readonly AudiometricFrequency _twoKilohertz = AudiometricFrequency.FromHertz(2000);

    // ISO 389-2: insert earphone, 40 dB HL at 2 kHz is 51.5 dB SPL in the occluded-ear simulator and 43.0 in the 2 cm3 coupler.
    [Theory]
    [InlineData(Coupler.Iec60318Part4, 51.5)]
    [InlineData(Coupler.Iec60318Part5, 43.0)]
    public void AnInsertEarphoneGivesThePrintedLevelInItsCoupler(Coupler coupler, double splDb)
    {
        var record = CalibrationRecords.Flat(TransducerKind.Insert, coupler, 140);

        var playable = Playable(record, Ear.Left, _twoKilohertz, 40);

        Assert.Equal(splDb, playable.SplInCouplerDb, 9);
        Assert.Equal(splDb, 140 + (20 * Math.Log10(playable.PeakAmplitude)), 9);
    }

    [Fact]
    public void ACircumauralEarphoneGivesFiftySixDecibelsAtThresholdAtSixteenKilohertz()
    {
        // ISO 389-5:2006, confirmed.
        var record = CalibrationRecords.Usual() with
        {
            TransducerKind = TransducerKind.Circumaural,
            Coupler = Coupler.Iec60318Part1WithFlatPlate,
            Entries = [new(Ear.Left, 16_000, 125, 60)],
        };

        Assert.Equal(56, Playable(record, Ear.Left, AudiometricFrequency.FromHertz(16_000), 0).SplInCouplerDb, 9);
    }

    [Fact]
    public void AnEarphoneWithoutAThresholdAboveEightKilohertzMakesNoSoundThere()
    {
        var record = CalibrationRecords.Usual() with { Entries = [new(Ear.Left, 16_000, 125, 40)] };

        Assert.Equal(LevelFaultCodes.CalibrationMismatch, Refused(record, Ear.Left, AudiometricFrequency.FromHertz(16_000), 0).Code);
    }

    [Fact]
    public void AmplitudeFollowsTheFormula()
    {
        // 60 dB HL + 5.5 dB (ISO 389-2, 1 kHz) - 120 dB = -54.5 dB re full scale = 0.0018836.
        var record = CalibrationRecords.Flat(TransducerKind.Insert, Coupler.Iec60318Part4, 120) with { Entries = [new(Ear.Right, 1000, 120, 100)] };

        Assert.Equal(0.0018836, Playable(record, Ear.Right, _oneKilohertz, 60).PeakAmplitude, 7);
    }

    [Fact]
    public void TwentyDecibelsAreATenfoldAmplitudeAndTheLevelCanBeReadBack() => Prop.ForAll(
        ArbMap.Default.GeneratorFor<int>().Select(value => Math.Abs(value % 800) / 10.0).ToArbitrary(),
        Gen.Elements(AudiometricFrequency.All.Where(frequency => frequency.Hertz > 125)).ToArbitrary(),
        Gen.Elements(Ear.Left, Ear.Right).ToArbitrary(),
        (level, frequency, ear) =>
        {
            var record = CalibrationRecords.Usual();
            var retspl = ReferenceThresholds.Get(record.TransducerKind, record.Coupler, frequency);
            var low = Playable(record, ear, frequency, level - 10).PeakAmplitude;
            var high = Playable(record, ear, frequency, level + 10).PeakAmplitude;
            return Math.Abs((high / low) - 10) < 1e-9
                && Math.Abs((20 * Math.Log10(low)) + 140 - retspl - (level - 10)) < 1e-9
                && low == Playable(record, ear == Ear.Left ? Ear.Right : Ear.Left, frequency, level - 10).PeakAmplitude;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void AnUncalibratedPointMakesNoSound()
    {
        var record = CalibrationRecords.Usual() with { Entries = [new(Ear.Right, 1000, 140, 100)] };

        Assert.Equal(LevelFaultCodes.CalibrationMissing, Refused(record, Ear.Left, _oneKilohertz, 40).Code);
        Assert.Equal(LevelFaultCodes.CalibrationMissing, Refused(record, Ear.Right, _twoKilohertz, 40).Code);
    }

    [Fact]
    public void ALevelOverTheRecordsMaximumIsRefused()
    {
        var record = CalibrationRecords.Usual() with { Entries = [new(Ear.Right, 1000, 140, 95)] };

        Assert.Equal(LevelFaultCodes.OverCeiling, Refused(record, Ear.Right, _oneKilohertz, 95.1).Code);
        Assert.True(Playable(record, Ear.Right, _oneKilohertz, 95).PeakAmplitude > 0);
    }

    [Fact]
    public void NothingGoesOverDigitalFullScale()
    {
        // 100 dB HL + 5.5 dB reach exactly the 105.5 dB SPL of full scale; a record that promises more is refused whole.
        var exact = CalibrationRecords.Usual() with { Entries = [new(Ear.Right, 1000, 105.5, 100)] };
        var promisesMore = CalibrationRecords.Usual() with { Entries = [new(Ear.Right, 1000, 105.5, 105)] };

        Assert.Equal(1, Playable(exact, Ear.Right, _oneKilohertz, 100).PeakAmplitude, 12);
        Assert.Equal(LevelFaultCodes.CalibrationInvalid, Refused(promisesMore, Ear.Right, _oneKilohertz, 40).Code);
    }

    [Fact]
    public void AWrongCouplerMakesNoSound()
    {
        var record = CalibrationRecords.Usual() with { Coupler = Coupler.Iec60318Part3 };

        Assert.Equal(LevelFaultCodes.CalibrationMismatch, Refused(record, Ear.Right, _oneKilohertz, 40).Code);
        Assert.Null(LevelChain.HighestPlayableDbHl(record, Ear.Right, _oneKilohertz));
    }

    [Fact]
    public void HighestPlayableLevelLiesOnTheStep()
    {
        var record = CalibrationRecords.Usual() with { Entries = [new(Ear.Right, 1000, 140, 97)] };

        Assert.Equal(95, LevelChain.HighestPlayableDbHl(record, Ear.Right, _oneKilohertz));
        Assert.Null(LevelChain.HighestPlayableDbHl(record, Ear.Left, _oneKilohertz));
    }

    private static LevelResult.Playable Playable(CalibrationRecord record, Ear ear, AudiometricFrequency frequency, double level) =>
        Assert.IsType<LevelResult.Playable>(LevelChain.Resolve(record, ear, frequency, HearingLevel.FromDecibels(level)));

    private static LevelFault Refused(CalibrationRecord record, Ear ear, AudiometricFrequency frequency, double level) =>
        Assert.IsType<LevelResult.Refused>(LevelChain.Resolve(record, ear, frequency, HearingLevel.FromDecibels(level))).Fault;
}
