using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;

namespace TeleHearing.Audiology.Tests.Levels;

/// <summary>Reference thresholds, levels and ceilings of bone vibrators.</summary>
public sealed class BoneLevelTests
{
    private static readonly CalibrationRecord _record = CalibrationRecords.Flat(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, 120);
    private static readonly AudiometricFrequency _oneKilohertz = AudiometricFrequency.FromHertz(1000);

    /// <summary>ISO 389-3: mastoid confirmed (Henry and Letowski 2007, ARL-TR-4138, Table 8), forehead from memory.</summary>
    [Theory]
    [InlineData(250, 67, 79)]
    [InlineData(500, 58, 72)]
    [InlineData(1000, 42.5, 51)]
    [InlineData(2000, 31, 42.5)]
    [InlineData(4000, 35.5, 43.5)]
    public void TheForceDependsOnWhereTheVibratorIs(int hertz, double mastoidDb, double foreheadDb)
    {
        var frequency = AudiometricFrequency.FromHertz(hertz);
        ReferenceThreshold Of(ConductionRoute route) => ReferenceThresholds.Find(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, route, frequency)!;

        Assert.Equal(new ReferenceThreshold(mastoidDb, ValueStatus.Confirmed, "ISO 389-3"), Of(ConductionRoute.BoneMastoid));
        Assert.Equal(new ReferenceThreshold(foreheadDb, ValueStatus.FromMemory, "ISO 389-3"), Of(ConductionRoute.BoneForehead));
        Assert.Equal(mastoidDb, ReferenceThresholds.Get(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, frequency));
    }

    [Fact]
    public void RoutesTransducersAndCouplersAreNeverMixed()
    {
        Assert.Null(ReferenceThresholds.Find(TransducerKind.BoneVibrator, Coupler.Iec60318Part6, ConductionRoute.Air, _oneKilohertz));
        Assert.Null(ReferenceThresholds.Find(TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate, ConductionRoute.BoneMastoid, _oneKilohertz));
        Assert.Null(ReferenceThresholds.Find(TransducerKind.BoneVibrator, Coupler.Iec60318Part4, ConductionRoute.BoneMastoid, _oneKilohertz));
        Assert.Equal(LevelFaultCodes.CalibrationMismatch, Refused(_record, ConductionRoute.Air, 20));
        Assert.Equal(LevelFaultCodes.CalibrationMismatch, Refused(CalibrationRecords.Usual(), ConductionRoute.BoneMastoid, 20));
        Assert.Contains(
            CalibrationRules.Faults(_record with { Coupler = Coupler.Iec60318Part4 }, CalibrationRecords.Today, "U-1", "T-1"),
            fault => fault.Code == LevelFaultCodes.CalibrationMismatch);
    }

    [Fact]
    public void TheSameHearingLevelNeedsMoreForceOnTheForeheadAndReachesLessFar()
    {
        double Amplitude(ConductionRoute route) => Assert.IsType<LevelResult.Playable>(LevelChain.Resolve(_record, route, Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(30))).PeakAmplitude;

        // 30 dB HL + 42.5 dB - 120 dB at full scale; 8.5 dB more on the forehead (ISO 389-3)
        Assert.Equal(-47.5, 20 * Math.Log10(Amplitude(ConductionRoute.BoneMastoid)), 6);
        Assert.Equal(-39, 20 * Math.Log10(Amplitude(ConductionRoute.BoneForehead)), 6);
        Assert.Equal(70, LevelChain.HighestPlayableDbHl(_record, ConductionRoute.BoneMastoid, Ear.Left, _oneKilohertz));
        Assert.Equal(60, LevelChain.HighestPlayableDbHl(_record, ConductionRoute.BoneForehead, Ear.Left, _oneKilohertz));
        Assert.Equal(LevelFaultCodes.OverCeiling, Refused(_record, ConductionRoute.BoneForehead, 65));
    }

    /// <summary>IEC 60645-1, the range of a fully featured instrument by bone, from memory.</summary>
    [Theory]
    [InlineData(125, null)]
    [InlineData(250, 45.0)]
    [InlineData(500, 60.0)]
    [InlineData(1000, 70.0)]
    [InlineData(3000, 70.0)]
    [InlineData(4000, 60.0)]
    [InlineData(6000, null)]
    [InlineData(8000, null)]
    public void CeilingsAreLowAndNothingIsPlayedOutsideTheTestedRange(int hertz, double? maximum) =>
        Assert.Equal(maximum, CeilingRules.Usual(TransducerKind.BoneVibrator).HighestFor(TransducerKind.BoneVibrator, AudiometricFrequency.FromHertz(hertz)));

    /// <summary>ISO 8253-1:2010, 8.4 and its NOTE (confirmed).</summary>
    [Theory]
    [InlineData(ConductionRoute.BoneMastoid, 250, 40.0)]
    [InlineData(ConductionRoute.BoneMastoid, 500, 60.0)]
    [InlineData(ConductionRoute.BoneMastoid, 1000, 70.0)]
    [InlineData(ConductionRoute.BoneForehead, 250, 30.0)]
    [InlineData(ConductionRoute.BoneForehead, 1000, 60.0)]
    [InlineData(ConductionRoute.BoneMastoid, 2000, null)]
    [InlineData(ConductionRoute.Air, 500, null)]
    public void AVibratorIsFeltFromALevelOn(ConductionRoute route, int hertz, double? level) =>
        Assert.Equal(level, BoneFrequencies.FeltFromDbHl(route, AudiometricFrequency.FromHertz(hertz)));

    private static string Refused(CalibrationRecord record, ConductionRoute route, double level) =>
        Assert.IsType<LevelResult.Refused>(LevelChain.Resolve(record, route, Ear.Left, _oneKilohertz, HearingLevel.FromDecibels(level))).Fault.Code;
}
