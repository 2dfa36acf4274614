using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Audiology.Tests.Noise;

public sealed class RoomJudgementTests
{
    private static readonly IReadOnlyList<BandLevel> _silentMicrophone = [.. ThirdOctaveBands.Nominal.Select(band => new BandLevel(band, -60))];

    // ISO 8253-1:2010, Table 2, supra-aural earphones, lowest test tone 250 Hz.
    [Theory]
    [InlineData(125, 39)]
    [InlineData(250, 19)]
    [InlineData(500, 18)]
    [InlineData(1000, 23)]
    [InlineData(2000, 30)]
    [InlineData(4000, 36)]
    [InlineData(8000, 33)]
    public void LimitsAreThoseOfTheTable(double band, double limitDbSpl)
    {
        Assert.Equal(limitDbSpl, AmbientNoiseLimits.For(TransducerKind.SupraAural, 250)[band]);
    }

    // ISO 8253-1:2010, Tables 2 and 3, 11.1: 18 + (38 - 7) and 18 + (23 - 7).
    [Theory]
    [InlineData(TransducerKind.Insert, 49)]
    [InlineData(TransducerKind.Circumaural, 34)]
    [InlineData(TransducerKind.SupraAural, 18)]
    public void AnotherEarphoneRaisesTheLimitByTheSoundItKeepsOut(TransducerKind kind, double limitDbSpl)
    {
        Assert.Equal(limitDbSpl, AmbientNoiseLimits.For(kind, 500)[500]);
    }

    [Fact]
    public void TheLimitRisesWithTheLowestLevelToBeTested()
    {
        // ISO 8253-1:2010, 11.1: supra-aural earphones used down to 20 dB HL only, 500 Hz: 18 + 20 = 38 dB.
        Assert.Equal(38, RoomJudgement.LimitAt(TransducerKind.SupraAural, 250, 500, HearingLevel.FromDecibels(20)));
        Assert.Throws<ArgumentOutOfRangeException>(() => RoomJudgement.LimitAt(TransducerKind.SupraAural, 250, 501, HearingLevel.FromDecibels(20)));
    }

    [Theory]
    [InlineData(1000, 125, 51)]
    [InlineData(125, 125, 28)]
    [InlineData(250, 125, 39)]
    [InlineData(499, 125, 39)]
    [InlineData(500, 125, 51)]
    public void TheLowestToneDecidesTheColumn(int lowestTone, double band, double limitDbSpl)
    {
        Assert.Equal(limitDbSpl, AmbientNoiseLimits.For(TransducerKind.SupraAural, lowestTone)[band]);
    }

    [Fact]
    public void EveryBandHasALimit()
    {
        foreach (var kind in Enum.GetValues<TransducerKind>())
        {
            Assert.Equal(ThirdOctaveBands.Nominal, AmbientNoiseLimits.For(kind, 125).Keys.Order());
        }
    }

    [Theory]
    [InlineData(-30, -10)]
    [InlineData(-10, -10)]
    [InlineData(-9.9, -5)]
    [InlineData(0, 0)]
    [InlineData(0.1, 5)]
    [InlineData(8, 10)]
    [InlineData(37, 40)]
    public void TheBoundIsTheExcessRoundedUpToTheStep(double excessDb, double boundDbHl)
    {
        var bounds = Bounds(TransducerKind.Insert, Room(TransducerKind.Insert, _ => excessDb), _silentMicrophone);

        Assert.All(bounds, bound => Assert.Equal(boundDbHl, bound.LevelDbHl));
        Assert.All(bounds, bound => Assert.True(bound.Verifiable));
    }

    [Fact]
    public void LowNoiseHidesTonesUpToFiveHundredHertzOnly()
    {
        var bounds = Bounds(TransducerKind.SupraAural, Room(TransducerKind.SupraAural, band => band == 125 ? 17 : -20), _silentMicrophone);

        Assert.All(bounds, bound => Assert.Equal(bound.FrequencyHz <= 500 ? 20 : -10, bound.LevelDbHl));
        Assert.All(bounds.Where(bound => bound.FrequencyHz <= 500), bound => Assert.Equal(125, bound.LimitingBandHz));
    }

    [Fact]
    public void NoiseAboveAToneDoesNotHideIt()
    {
        var bounds = Bounds(TransducerKind.SupraAural, Room(TransducerKind.SupraAural, band => band == 4000 ? 40 : -20), _silentMicrophone);

        Assert.All(bounds, bound => Assert.Equal(bound.FrequencyHz == 4000 ? 40 : -10, bound.LevelDbHl));
    }

    [Fact]
    public void WhereTheMicrophoneHidesTheRoomTheBoundIsNotVerifiable()
    {
        // The room reads 5 dB over every limit; in the 1000 Hz band all but 5.9 dB of it may be the microphone's own noise (6 dB asked by ISO 8253-1:2010, 11.1).
        var room = Room(TransducerKind.Insert, _ => 5);
        var own = _silentMicrophone.Select(band => band.BandHz == 1000 ? band with { LevelDbSpl = Level(room, 1000) - 5.9 } : band);

        var bounds = Bounds(TransducerKind.Insert, room, [.. own]);

        Assert.All(bounds, bound => Assert.Equal(bound.FrequencyHz != 1000, bound.Verifiable));
        Assert.All(bounds, bound => Assert.Equal(5, bound.LevelDbHl));
    }

    [Fact]
    public void ExactlySixDecibelsOverTheMicrophoneAreEnough()
    {
        var room = Room(TransducerKind.Insert, _ => 5);

        var bounds = Bounds(TransducerKind.Insert, room, [.. room.Select(band => band with { LevelDbSpl = band.LevelDbSpl - 6 })]);

        Assert.All(bounds, bound => Assert.True(bound.Verifiable));
    }

    [Fact]
    public void AMicrophoneNoisierThanTheReadingSetsTheBound()
    {
        var room = Room(TransducerKind.Insert, _ => -20);

        var bounds = Bounds(TransducerKind.Insert, room, [.. room.Select(band => band with { LevelDbSpl = band.LevelDbSpl + 23 })]);

        Assert.All(bounds, bound => Assert.Equal((5.0, false), (bound.LevelDbHl, bound.Verifiable)));
    }

    [Fact]
    public void MicrophoneNoiseThatBoundsNothingDoesNotMatter()
    {
        var room = Room(TransducerKind.Insert, _ => -20);

        Assert.All(Bounds(TransducerKind.Insert, room, room), bound => Assert.Equal((-10.0, true), (bound.LevelDbHl, bound.Verifiable)));
    }

    [Fact]
    public void AnUnknownMicrophoneProvesNothingAboveTheLowestLevel()
    {
        Assert.All(Bounds(TransducerKind.Insert, Room(TransducerKind.Insert, _ => 3), []), bound => Assert.False(bound.Verifiable));
    }

    [Fact]
    public void AMissingBandOrALevelThatIsNoNumberIsRefused()
    {
        var room = Room(TransducerKind.Insert, _ => 0);

        Assert.Throws<ArgumentException>(() => Bounds(TransducerKind.Insert, [.. room.Where(band => band.BandHz != 1000)], _silentMicrophone));
        Assert.Throws<ArgumentException>(() => Bounds(TransducerKind.Insert, [.. room.Select(band => band with { LevelDbSpl = double.NaN })], _silentMicrophone));
    }

    [Fact]
    public void MoreNoiseNeverLowersABound() => Prop.ForAll(
        Gen.Choose(-40, 60).ListOf(ThirdOctaveBands.Nominal.Count).ToArbitrary(),
        Gen.Choose(0, ThirdOctaveBands.Nominal.Count - 1).ToArbitrary(),
        Gen.Choose(0, 30).ToArbitrary(),
        (excess, where, more) =>
        {
            var room = Room(TransducerKind.Circumaural, band => excess[ThirdOctaveBands.Nominal.ToList().IndexOf(band)]);
            var louder = room.Select((band, i) => i == where ? band with { LevelDbSpl = band.LevelDbSpl + more } : band);
            return Bounds(TransducerKind.Circumaural, room, _silentMicrophone)
                .Zip(Bounds(TransducerKind.Circumaural, [.. louder], _silentMicrophone))
                .All(pair => pair.Second.LevelDbHl >= pair.First.LevelDbHl && pair.First.LevelDbHl % 5 == 0 && pair.First.LevelDbHl >= -10);
        }).QuickCheckThrowOnFailure();

    private static IReadOnlyList<LowestProvableLevel> Bounds(TransducerKind kind, IReadOnlyList<BandLevel> room, IReadOnlyList<BandLevel> own) =>
        RoomJudgement.LowestProvable(room, own, kind, [.. AudiometricFrequency.All.Where(frequency => frequency.Hertz >= 250)]);

    private static BandLevel[] Room(TransducerKind kind, Func<double, double> excessDb) =>
        [.. AmbientNoiseLimits.For(kind, 250).OrderBy(limit => limit.Key).Select(limit => new BandLevel(limit.Key, limit.Value + excessDb(limit.Key)))];

    private static double Level(IEnumerable<BandLevel> room, double band) => room.Single(level => level.BandHz == band).LevelDbSpl;
}
