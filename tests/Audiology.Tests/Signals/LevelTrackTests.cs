using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Audiology.Signals;

namespace TeleHearing.Audiology.Tests.Signals;

public sealed class LevelTrackTests
{
    private const int SampleRateHz = 48_000;
    private static readonly Flat _flat = new(10 * SampleRateHz);

    [Fact]
    public void AChangeGlidesWithoutAGapToTheLevelAsked()
    {
        var track = new LevelTrack(_flat, -20, SampleRateHz).ChangeAt(SampleRateHz, -15).ChangeAt(2 * SampleRateHz, -40);
        var samples = Render(track);

        Assert.Equal(Math.Pow(10, -20 / 20.0), samples[SampleRateHz], 1e-7);
        Assert.Equal(Math.Pow(10, -15 / 20.0), samples[SampleRateHz + (SampleRateHz / 10)], 1e-7);
        Assert.Equal(Math.Pow(10, -40 / 20.0), samples[^1], 1e-7);
        Assert.Equal(-15, track.LevelDbAt((3 * SampleRateHz) / 2), 1e-12);
    }

    // 5 dB in pi / 2 x 5 / 200 s = 39.3 ms and 20 dB in 157 ms, calculated; downwards 35 ms.
    [Theory]
    [InlineData(-20, -15, 39.3)]
    [InlineData(-20, 0, 157.1)]
    [InlineData(-20, -19, 35)]
    [InlineData(-20, -60, 35)]
    public void AGlideTakesTheTimeThatItsRiseNeeds(double from, double to, double milliseconds)
    {
        var track = new LevelTrack(_flat, from, SampleRateHz).ChangeAt(100, to);

        Assert.Equal(milliseconds, (track.SettledFrame - 100) * 1000.0 / SampleRateHz, 0.05);
    }

    [Fact]
    public void HoweverItIsTurnedTheLevelNeverJumpsNorRisesTooFast() => Prop.ForAll(
        Gen.Choose(0, 4000).Zip(Gen.Choose(-600, 0)).ListOf(12).Where(list => list.Count > 0).ToArbitrary(),
        turns =>
        {
            var track = new LevelTrack(_flat, -40, SampleRateHz);
            var frame = 0L;
            foreach (var (wait, tenths) in turns)
            {
                frame += wait;
                track = track.ChangeAt(frame, tenths / 10.0);
            }

            var levels = Enumerable.Range(0, (int)track.SettledFrame + 1).Select(at => track.LevelDbAt(at)).ToList();
            var steps = levels.Zip(levels.Skip(1), (before, after) => after - before).ToList();

            // The fastest fall: 60 dB in 35 ms along a raised cosine.
            return steps.Max() <= (LevelTrack.FastestRiseDbPerSecond / SampleRateHz) + 1e-9
                && steps.Min() >= -(Math.PI / 2 * 60 / 0.035 / SampleRateHz) - 1e-9
                && levels[^1] == turns[^1].Item2 / 10.0;
        }).QuickCheckThrowOnFailure();

    [Fact]
    public void AChangeLeavesEverythingBeforeItAsItWas()
    {
        var before = new LevelTrack(_flat, -30, SampleRateHz).ChangeAt(1000, -25);
        var after = before.ChangeAt(1500, -60);

        Assert.Equal(Render(before)[..1501], Render(after)[..1501]);
        Assert.NotEqual(Render(before)[1600], Render(after)[1600]);
    }

    [Fact]
    public void AnyBlocksGiveTheSameSamples()
    {
        var noise = Stimulus.Make(new NarrowBandNoiseSpec(AudiometricFrequency.FromHertz(500), 0.2, 1, ToneShape.Steady, 1000, SampleRateHz));
        var track = new LevelTrack(noise, -10, SampleRateHz).ChangeAt(9000, 0).ChangeAt(10_000, -30).ChangeAt(30_000, -5);
        var whole = Render(track);
        Prop.ForAll(
            Gen.Choose(-50, whole.Length).Zip(Gen.Choose(1, 2500)).ToArbitrary(),
            block =>
            {
                var part = new float[block.Item2];
                track.Render(block.Item1, part);
                return part.Select((sample, i) => block.Item1 + i < 0 || block.Item1 + i >= whole.Length ? sample == 0 : sample.Equals(whole[block.Item1 + i])).All(same => same);
            }).QuickCheckThrowOnFailure();
    }

    [Fact]
    public void AtItsOwnLevelTheSoundPassesUntouched()
    {
        var tone = Stimulus.Make(new ToneSpec(1000, 0.5, ToneShape.Steady, 500, SampleRateHz));

        Assert.Equal(Render(tone), Render(new LevelTrack(tone, 0, SampleRateHz)));
    }

    [Theory]
    [InlineData(0.001)]
    [InlineData(-150.1)]
    [InlineData(double.NaN)]
    public void ALevelOutsideItsRangeIsRefused(double levelDb)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => new LevelTrack(_flat, levelDb, SampleRateHz));
        Assert.Throws<ArgumentOutOfRangeException>(() => new LevelTrack(_flat, -10, SampleRateHz).ChangeAt(0, levelDb));
    }

    [Fact]
    public void AChangeBeforeTheLastOneIsRefused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new LevelTrack(_flat, -10, SampleRateHz).ChangeAt(500, -20).ChangeAt(499, -10));

    private static float[] Render(IStimulus track)
    {
        var samples = new float[track.TotalFrames];
        track.Render(0, samples);
        return samples;
    }

    private sealed record Flat(long TotalFrames) : IStimulus
    {
        public void Render(long startFrame, Span<float> mono) => mono.Fill(1);
    }
}
