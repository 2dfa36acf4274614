using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.Simulation;

namespace TeleHearing.Audiology.Tests.Simulation;

public sealed class VirtualRoomTests
{
    [Fact]
    public void TheQuietRoomMeasuresFifteenDecibelsUnderTheLimits()
    {
        var (earphones, openEars) = (AmbientNoiseLimits.For(TransducerKind.SupraAural, 125), AmbientNoiseLimits.For(TransducerKind.BoneVibrator, 125));

        foreach (var level in Measure(VirtualRoom.Quiet(48_000, seed: 1)))
        {
            // Neighbouring bands of a third-octave filter leak a little into the lowest, steepest part of the spectrum.
            Assert.Equal(Math.Min(earphones[level.BandHz], openEars[level.BandHz]) - 15, level.LevelDbSpl, 1.2);
        }
    }

    [Fact]
    public void TheQuietRoomProvesTheLowestLevelUnderEveryEarphone()
    {
        var room = Measure(VirtualRoom.Quiet(48_000, seed: 2));
        IReadOnlyList<BandLevel> microphone = [.. room.Select(band => band with { LevelDbSpl = -60 })];

        foreach (var kind in Enum.GetValues<TransducerKind>())
        {
            Assert.All(
                RoomJudgement.LowestProvable(room, microphone, kind, AudiometricFrequency.All),
                bound => Assert.Equal((-10.0, true), (bound.LevelDbHl, bound.Verifiable)));
        }
    }

    [Fact]
    public void AShapedRoomHasTheLevelsAskedAndTheScaleAsked()
    {
        var room = VirtualRoom.Shaped([new(250, 50), new(4000, 70)], 48_000, seed: 9, splAtRmsOneDb: 94);
        var levels = Measure(room, 94).ToDictionary(level => level.BandHz, level => level.LevelDbSpl);

        Assert.Equal(50, levels[250], 0.5);
        Assert.Equal(70, levels[4000], 0.5);
        Assert.True(levels[1000] < 30);
    }

    [Fact]
    public void RecordedSamplesRepeatWithoutAGapInAnyBlocks()
    {
        var room = VirtualRoom.FromSamples([1, 2, 3]);
        var first = new float[2];
        var second = new float[5];

        room.Fill(first);
        room.Fill(second);

        Assert.Equal([1, 2], first);
        Assert.Equal([3, 1, 2, 3, 1], second);
        Assert.Throws<ArgumentException>(() => VirtualRoom.FromSamples([]));
    }

    private static IReadOnlyList<BandLevel> Measure(VirtualRoom room, double splAtRmsOneDb = 120)
    {
        var bank = new ThirdOctaveBank(48_000, ThirdOctaveBands.Nominal);
        var block = new float[1 << 18];
        room.Fill(block);
        bank.Process(block);
        bank.ResetAverage();
        room.Fill(block);
        bank.Process(block);
        return bank.Levels(splAtRmsOneDb);
    }
}
