using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Audiology.Tests.Noise;

public sealed class NoiseLimitsTests
{
    private static readonly IReadOnlyList<BandLevel> _silentMicrophone = [.. ThirdOctaveBands.All.Select(band => new BandLevel(band, -60))];

    // ANSI/ASA S3.1-1999 (R2018), Table 1, octave bands, 125 Hz to 8 kHz. Confirmed (quoted in a journal of audiology): ears covered, from 500 Hz; the rest from memory.
    [Theory]
    [InlineData(ListeningCondition.SupraAural, 500, ValueStatus.Confirmed, new double[] { 49, 35, 21, 26, 34, 37, 37 })]
    [InlineData(ListeningCondition.Insert, 500, ValueStatus.Confirmed, new double[] { 78, 64, 50, 47, 49, 50, 56 })]
    [InlineData(ListeningCondition.SupraAural, 250, ValueStatus.FromMemory, new double[] { 39, 25, 21, 26, 34, 37, 37 })]
    [InlineData(ListeningCondition.Insert, 125, ValueStatus.FromMemory, new double[] { 59, 53, 50, 47, 49, 50, 56 })]
    [InlineData(ListeningCondition.Bone, 125, ValueStatus.FromMemory, new double[] { 29, 21, 16, 13, 14, 11, 14 })]
    [InlineData(ListeningCondition.SoundField, 250, ValueStatus.FromMemory, new double[] { 35, 21, 16, 13, 14, 11, 14 })]
    public void TheOctaveLimitsAreThoseOfTheTableWithTheirStatus(ListeningCondition condition, int lowest, ValueStatus status, double[] limits)
    {
        var table = NoiseLimits.Find(NoiseCriterion.AnsiOctave, condition, lowest)!;

        Assert.Equal(limits, table.Limits.Select(limit => limit.LimitDbSpl));
        Assert.All(table.Limits, limit => Assert.Equal(status, limit.Status));
    }

    [Fact]
    public void ThirdOctaveLimitsAtOctaveFrequenciesAreFiveDecibelsLower()
    {
        // ANSI S3.1, from memory.
        foreach (var condition in new[] { ListeningCondition.SupraAural, ListeningCondition.Insert, ListeningCondition.Bone })
        {
            var octaves = NoiseLimits.Find(NoiseCriterion.AnsiOctave, condition, 250)!.Limits;
            var thirds = NoiseLimits.Find(NoiseCriterion.AnsiThirdOctave, condition, 250)!.Limits.ToDictionary(limit => limit.BandHz, limit => limit.LimitDbSpl);
            Assert.All(octaves, octave => Assert.Equal(octave.LimitDbSpl - 5, thirds[octave.BandHz]));
        }
    }

    // ISO 8253-1:2010, Table 4, bone conduction, lowest tone 250 Hz.
    [Theory]
    [InlineData(125, 28)]
    [InlineData(250, 13)]
    [InlineData(500, 8)]
    [InlineData(1000, 7)]
    [InlineData(2000, 8)]
    [InlineData(4000, 2)]
    [InlineData(8000, 15)]
    public void BoneLimitsAreThoseOfTheTableAndTheSoundFieldIsThreeDecibelsStricter(double band, double limitDbSpl)
    {
        // ISO 8253-2:2009, Table 2: both ears listen, 3 dB lower in every band to 8 kHz.
        Assert.Equal(limitDbSpl, LimitOf(NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.Bone, 250)!, band));
        Assert.Equal(limitDbSpl - 3, LimitOf(NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.SoundField, 250)!, band));
    }

    [Fact]
    public void WhereNoColumnIsPrintedTheStricterOneHolds()
    {
        Assert.Equal(250, NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.Bone, 500)!.LowestTestToneHz);
        Assert.Equal(125, NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.Bone, 249)!.LowestTestToneHz);
        Assert.Equal(125, NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.Bone, 60)!.LowestTestToneHz);
    }

    [Fact]
    public void NoLimitsArePrintedForCircumauralEarphonesInTheAmericanStandard()
    {
        Assert.Null(NoiseLimits.Find(NoiseCriterion.AnsiOctave, ListeningCondition.Circumaural, 250));
        Assert.Null(NoiseLimits.Find(NoiseCriterion.AnsiThirdOctave, ListeningCondition.Circumaural, 250));
    }

    // Worked from ANSI S3.1: one room whose 500 Hz octave reads 58 dB. Insert 58 - 50 = 8, supra-aural 58 - 21 = 37, bone 58 - 16 = 42, each up to the next step.
    [Theory]
    [InlineData(ListeningCondition.Insert, 10)]
    [InlineData(ListeningCondition.SupraAural, 40)]
    [InlineData(ListeningCondition.Bone, 45)]
    public void OneRoomProvesAnotherLevelUnderEveryWayOfListening(ListeningCondition condition, double boundDbHl)
    {
        // three third-octaves that make up 58 dB, and nothing elsewhere
        var room = Room(band => band is 400 or 500 or 630 ? 58 - (10 * Math.Log10(3)) : -20);

        var bound = Assert.Single(RoomJudgement.LowestProvable(room, _silentMicrophone, NoiseLimits.Find(NoiseCriterion.AnsiOctave, condition, 500)!, [AudiometricFrequency.FromHertz(500)]));

        Assert.Equal((boundDbHl, true, 500), (bound.LevelDbHl, bound.Verifiable, bound.LimitingBandHz));
        Assert.Equal(condition == ListeningCondition.Bone ? ValueStatus.FromMemory : ValueStatus.Confirmed, bound.LimitStatus);
    }

    [Fact]
    public void EveryAudiometricFrequencyFindsItsBandInBothStandards()
    {
        foreach (var criterion in Enum.GetValues<NoiseCriterion>())
        {
            var limits = NoiseLimits.Find(criterion, ListeningCondition.Insert, 125)!;
            Assert.All(AudiometricFrequency.All, frequency => Assert.NotEmpty(limits.BearingOn(frequency)));
        }

        var octaves = NoiseLimits.Find(NoiseCriterion.AnsiOctave, ListeningCondition.Insert, 125)!;
        Assert.Equal([1000, 2000, 4000, 8000], new[] { 750, 1500, 3000, 6000 }.Select(hertz => octaves.BearingOn(AudiometricFrequency.FromHertz(hertz)).Single().BandHz));
        Assert.Equal([125, 250, 500], octaves.BearingOn(AudiometricFrequency.FromHertz(500)).Select(limit => limit.BandHz));
    }

    [Fact]
    public void AToneWithoutAPrintedLimitGetsNoBound()
    {
        var high = AudiometricFrequency.FromHertz(16_000);
        var limits = NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.Insert, 250)!;

        Assert.Empty(RoomJudgement.LowestProvable(Room(_ => 0), _silentMicrophone, limits, [high]));
        Assert.Equal(NoiseVerdict.NoLimit, RoomJudgement.Verdict(Room(_ => 0), _silentMicrophone, limits, high, HearingLevel.FromDecibels(0)));
        Assert.Empty(RoomJudgement.BandsThatMatter(high));
    }

    // One band: reading, own noise of the microphone, limit.
    [Theory]
    [InlineData(10, -10.0, 20, NoiseVerdict.QuietEnough)]
    [InlineData(20, 19.0, 20, NoiseVerdict.QuietEnough)]
    [InlineData(21, -10.0, 20, NoiseVerdict.TooLoud)]
    [InlineData(21, 15.0, 20, NoiseVerdict.TooLoud)]
    [InlineData(21, 15.1, 20, NoiseVerdict.NotVerifiable)]
    [InlineData(10, 20.1, 20, NoiseVerdict.NotVerifiable)]
    [InlineData(26, 20.1, 20, NoiseVerdict.NotVerifiable)]
    [InlineData(30, 20.1, 20, NoiseVerdict.TooLoud)]
    [InlineData(10, null, 20, NoiseVerdict.NotVerifiable)]
    [InlineData(90, null, 20, NoiseVerdict.NotVerifiable)]
    public void ALimitBelowTheMicrophonesOwnNoiseIsNeverAPass(double level, double? own, double limit, NoiseVerdict verdict)
    {
        Assert.Equal(verdict, RoomJudgement.BandVerdict(level, own, limit));
    }

    [Fact]
    public void TheVerdictRisesWithTheLowestLevelAndALoudBandDecides()
    {
        // Supra-aural earphones to be used down to 20 dB HL only: 18 + 20 = 38 dB at 500 Hz (ISO 8253-1:2010, 11.1).
        var limits = NoiseLimits.Find(NoiseCriterion.Iso8253, ListeningCondition.SupraAural, 500)!;
        var tone = AudiometricFrequency.FromHertz(500);
        var room = Room(band => band == 500 ? 38 : -20);

        Assert.Equal(NoiseVerdict.QuietEnough, RoomJudgement.Verdict(room, _silentMicrophone, limits, tone, HearingLevel.FromDecibels(20)));
        Assert.Equal(NoiseVerdict.TooLoud, RoomJudgement.Verdict(room, _silentMicrophone, limits, tone, HearingLevel.FromDecibels(15)));
        Assert.Equal(NoiseVerdict.NotVerifiable, RoomJudgement.Verdict(room, [], limits, tone, HearingLevel.FromDecibels(20)));
        IReadOnlyList<BandLevel> half = [.. _silentMicrophone.Where(band => band.BandHz is not 31.5)];
        Assert.Equal(NoiseVerdict.NotVerifiable, RoomJudgement.Verdict(room, half, limits, tone, HearingLevel.FromDecibels(20)));
        Assert.Equal(NoiseVerdict.TooLoud, RoomJudgement.Verdict(room, half, limits, tone, HearingLevel.FromDecibels(15)));
    }

    [Fact]
    public void OctavesAreSumsOfTheirThirds()
    {
        var octaves = BandSums.Octaves([.. new double[] { 400, 500, 630, 800, 1000 }.Select(band => new BandLevel(band, 40))]);

        Assert.Equal(500, Assert.Single(octaves).BandHz);
        Assert.Equal(44.77, octaves[0].LevelDbSpl, 0.01);
        Assert.Equal(OctaveBands.All.Take(9), BandSums.Octaves(_silentMicrophone).Select(level => level.BandHz));
    }

    private static double LimitOf(NoiseLimits limits, double band) => limits.Limits.Single(limit => limit.BandHz == band).LimitDbSpl;

    private static IReadOnlyList<BandLevel> Room(Func<double, double> level) => [.. ThirdOctaveBands.All.Select(band => new BandLevel(band, level(band)))];
}
