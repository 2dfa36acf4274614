using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Levels;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Tests.Steps;

/// <summary>What a presentation's noise watch makes of a microphone in all its moods, and what a kit may claim with it.</summary>
public sealed class NoiseWatchTests
{
    private const int Body = AudioFormat.SampleRateHz;
    private readonly NoiseWatch _watch = new(AudiometricFrequency.FromHertz(1000), TransducerKind.Insert, 120);

    [Fact]
    public void ALivingMicrophoneGivesLevelsAndNoTrouble()
    {
        Hear(frame => Tone(frame, 0.001));

        Assert.Null(_watch.Trouble);
        var band = Assert.Single(_watch.Judge(HearingLevel.FromDecibels(40)));
        Assert.Equal(120 - 63.0, band.LevelDbSpl, 0.3);
    }

    [Fact]
    public void SamplesThatAreNoNumbersBreakOffWhatIsPlayed()
    {
        Hear(frame => frame == 20_000 ? float.NaN : Tone(frame, 0.001));

        Assert.Contains("no numbers", _watch.Broken, StringComparison.Ordinal);
        Assert.Equal(_watch.Broken, _watch.Trouble);
    }

    [Fact]
    public void AnOverloadSpoilsThePresentationButNotTheMicrophone()
    {
        Hear(frame => frame is > 20_000 and < 20_050 ? 1f : Tone(frame, 0.001));

        Assert.Null(_watch.Broken);
        Assert.Contains("overloaded", _watch.Trouble, StringComparison.Ordinal);
        _watch.Expect(Body);
        Hear(frame => Tone(frame, 0.001), expect: false);
        Assert.Null(_watch.Trouble);
    }

    [Fact]
    public void DeadSilenceIsNoQuietRoom()
    {
        Hear(_ => 0f);

        Assert.Contains("dead silence", _watch.Broken, StringComparison.Ordinal);
    }

    [Fact]
    public void AMicrophoneThatFallsSilentForPartOfTheToneHeardNothing()
    {
        _watch.Expect(Body);
        Hear(frame => Tone(frame, 0.001), expect: false, until: Body / 2);

        Assert.Contains("not heard", _watch.Broken, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(null)]
    [InlineData(double.NaN)]
    [InlineData(3.0)]
    public void ARecordWithoutAUsableSensitivityClaimsNothing(double? sensitivity)
    {
        var gear = new Gear(Provisioner.Kit with { Microphone = Provisioner.Kit.Microphone! with { SplAtRmsOneDb = sensitivity } }, null);

        var (hearing, reason) = RoomHearing.Find(new OtherInput(), gear);

        Assert.Null(hearing);
        Assert.Contains("sensitivity", reason, StringComparison.Ordinal);
    }

    [Fact]
    public void WithoutInputRecordOrTheRightRateNothingIsClaimedEither()
    {
        var whole = new Gear(Provisioner.Kit, null);

        Assert.NotNull(RoomHearing.Find(new OtherInput(), whole).Hearing);
        Assert.Contains("no measurement microphone", RoomHearing.Find(null, whole).Reason, StringComparison.Ordinal);
        Assert.Contains("no record", RoomHearing.Find(new OtherInput(), new Gear(Provisioner.Kit with { Microphone = null }, null)).Reason, StringComparison.Ordinal);
        Assert.Contains("rate", RoomHearing.Find(new OtherInput { SampleRateHz = 44_100 }, whole).Reason, StringComparison.Ordinal);
        var damaged = Provisioner.Kit with { Microphone = Provisioner.Kit.Microphone! with { SelfNoise = [new BandLevel(1000, double.NaN)] } };
        Assert.Contains("damaged", RoomHearing.Find(new OtherInput(), new Gear(damaged, null)).Reason, StringComparison.Ordinal);
    }

    private void Hear(Func<long, float> sample, bool expect = true, long until = Body)
    {
        if (expect)
        {
            _watch.Expect(Body);
        }

        for (long start = -Body; start < until; start += AudioFormat.BlockFrames)
        {
            _watch.Hear(start, [.. Enumerable.Range(0, AudioFormat.BlockFrames).Select(frame => start < 0 ? Tone(start + frame, 0.001) : sample(start + frame))]);
        }
    }

    private static float Tone(long frame, double peak) => (float)(peak * Math.Sin(Math.Tau * 1000 * frame / AudioFormat.SampleRateHz));

    private sealed class OtherInput : IAudioInput
    {
        public string DeviceName => "test microphone";

        public int SampleRateHz { get; init; } = AudioFormat.SampleRateHz;

        public double SplAtRmsOneDb => 120;

        public bool TryRead(Span<float> mono) => false;

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;
    }
}
