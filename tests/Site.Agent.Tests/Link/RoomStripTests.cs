using Microsoft.Extensions.Time.Testing;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Site.Agent.Tests.Link;

public sealed class RoomStripTests
{
    private readonly FakeTimeProvider _time = new();
    private readonly List<LiveRoom> _sent = [];
    private readonly RoomStrip _strip;

    public RoomStripTests() => _strip = RoomStrip.For(new Input(), new Gear(Provisioner.Kit, null), _sent.Add, _time)!;

    [Fact]
    public void AQuarterOfASecondMakesAReadingOfEveryBand()
    {
        Hear(250, frame => Tone(frame));
        Assert.Empty(_sent);

        _time.Advance(TimeSpan.FromMilliseconds(250));
        Hear(2000, frame => Tone(frame));

        // a sine of peak 0.01 at 1 kHz: 120 - 40 - 3.01 dB; once only, for the clock stands still
        var room = Assert.Single(_sent);
        Assert.Equal(ThirdOctaveBands.Nominal.Count, room.LevelsDbSpl.Count);
        Assert.Equal(77, room.LevelsDbSpl[ThirdOctaveBands.Nominal.ToList().IndexOf(1000)], 0.2);
        Assert.Equal(ThirdOctaveBands.Nominal.Count, room.OwnNoiseDbSpl.Count);
        Assert.Null(room.Fault);
    }

    [Fact]
    public void FourASecondAreSentInRealTime()
    {
        for (var block = 0; block < 400; block++)
        {
            _time.Advance(TimeSpan.FromMilliseconds(10));
            Hear(10, Tone);
        }

        Assert.Equal(16, _sent.Count);
    }

    [Theory]
    [InlineData(float.NaN, "no numbers")]
    [InlineData(1f, "overloaded")]
    [InlineData(0f, "dead silence")]
    public void AMicrophoneThatCannotBeTrustedIsSaidSo(float sample, string words)
    {
        _time.Advance(TimeSpan.FromMilliseconds(250));
        Hear(250, _ => sample);

        var room = Assert.Single(_sent);
        Assert.Contains(words, room.Fault, StringComparison.Ordinal);
        Assert.All(room.LevelsDbSpl, level => Assert.True(double.IsFinite(level)));
    }

    [Fact]
    public void WithoutARecordNothingIsSent()
    {
        Assert.Null(RoomStrip.For(new Input(), new Gear(Provisioner.Kit with { Microphone = null }, null), _sent.Add, _time));
        Assert.Null(RoomStrip.For(null, new Gear(Provisioner.Kit, null), _sent.Add, _time));
    }

    private void Hear(int milliseconds, Func<long, float> sample)
    {
        for (long start = 0; start < AudioFormat.FramesOf(milliseconds); start += AudioFormat.BlockFrames)
        {
            _strip.Hear(start, [.. Enumerable.Range(0, AudioFormat.BlockFrames).Select(frame => sample(start + frame))]);
        }
    }

    private static float Tone(long frame) => (float)(0.01 * Math.Sin(Math.Tau * 1000 * frame / AudioFormat.SampleRateHz));

    private sealed class Input : IAudioInput
    {
        public string DeviceName => "test microphone";

        public int SampleRateHz => AudioFormat.SampleRateHz;

        public double SplAtRmsOneDb => 120;

        public bool TryRead(Span<float> mono) => false;

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;
    }
}
