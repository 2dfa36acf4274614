using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Audiology;
using TeleHearing.Site.Agent.Audio;
using TeleHearing.Site.Agent.Tests.Support;

namespace TeleHearing.Site.Agent.Tests.Audio;

public sealed class AudioEngineTests : IAsyncDisposable
{
    private const int Block = AudioFormat.BlockFrames;
    private readonly BlockDevice _device = new();
    private readonly CancellationTokenSource _ending = new();
    private readonly AudioEngine _engine;
    private readonly Task _loop;
    private bool _leaseValid = true;

    public AudioEngineTests()
    {
        // at fast pace the loop waits while nothing is in hand, so that every block of the device belongs to the test
        _engine = new AudioEngine(_device, null, null, Pace.Fast, () => Volatile.Read(ref _leaseValid), null, NullLogger<AudioEngine>.Instance);
        _loop = Task.Run(() => _engine.RunAsync(_ending.Token));
    }

    private static CancellationToken Cancel => TestContext.Current.CancellationToken;

    private static Presentation Tone(long lead = 100, long body = 4800, long tail = 480, Ear ear = Ear.Left, bool needsLease = true) =>
        new() { LeadFrames = lead, BodyFrames = body, TailFrames = tail, Tone = new FlatTone(body), Ear = ear, NeedsLease = needsLease };

    public async ValueTask DisposeAsync()
    {
        await _ending.CancelAsync();
        await _loop;
        _engine.Dispose();
        _ending.Dispose();
    }

    [Theory]
    [InlineData(Ear.Left)]
    [InlineData(Ear.Right)]
    public async Task AToneIsGatedToTheFrameIntoItsOwnChannelAlone(Ear ear)
    {
        var played = _engine.PresentAsync(Tone(lead: 777, body: 3001, tail: 10, ear: ear), Cancel);
        await _device.PlayAsync(8);
        var result = await played;

        Assert.Equal(PresentationEnd.Complete, result.End);
        Assert.Equal(777, result.OnsetFrame);
        for (var frame = 0; frame < _device.Frames; frame++)
        {
            var expected = frame is >= 777 and < 777 + 3001 ? 0.5f : 0f;
            Assert.Equal(expected, ear == Ear.Left ? _device.Left(frame) : _device.Right(frame));
            Assert.Equal(0f, ear == Ear.Left ? _device.Right(frame) : _device.Left(frame));
        }
    }

    [Fact]
    public async Task SilenceIsHeardAtTheNextBlockWithAFallOfOneBlock()
    {
        var played = _engine.PresentAsync(Tone(lead: 0, body: 48_000), Cancel);
        await _device.PlayAsync(10);

        _engine.Silence();
        await _device.LetGoAsync(2);
        var result = await played;

        Assert.Equal(PresentationEnd.Silenced, result.End);
        // block 11 was rendered before silence was asked for, block 12 is the fall
        Assert.InRange(_device.Frames, 11 * Block, 12 * Block);
        Assert.Equal(0f, _device.Left(_device.Frames - 1), 1e-4);
        for (var frame = _device.Frames - Block; frame < _device.Frames - 1; frame++)
        {
            Assert.InRange(_device.Left(frame) - _device.Left(frame + 1), 0, 0.01f);
        }
    }

    [Fact]
    public async Task ALapsedLeaseSilencesWithoutAnyOtherThread()
    {
        var played = _engine.PresentAsync(Tone(lead: 0, body: 48_000), Cancel);
        await _device.PlayAsync(5);

        Volatile.Write(ref _leaseValid, false);
        await _device.LetGoAsync(2);

        Assert.Equal(PresentationEnd.LeaseLapsed, (await played).End);
        Assert.InRange(_device.Frames, 6 * Block, 7 * Block);
        Assert.Equal(0f, _device.Left(_device.Frames - 1), 1e-4);
    }

    [Fact]
    public async Task WithoutALeaseNotOneSampleOfAToneIsPlayed()
    {
        Volatile.Write(ref _leaseValid, false);
        var played = _engine.PresentAsync(Tone(lead: 0), Cancel);
        await _device.PlayAsync(1);

        Assert.Equal(PresentationEnd.LeaseLapsed, (await played).End);
        Assert.All(Enumerable.Range(0, (int)_device.Frames), frame => Assert.Equal(0f, _device.Left(frame)));
    }

    [Fact]
    public async Task ListeningToTheRoomNeedsNoLease()
    {
        Volatile.Write(ref _leaseValid, false);
        var played = _engine.PresentAsync(new Presentation { LeadFrames = 0, BodyFrames = 960, TailFrames = 0, NeedsLease = false }, Cancel);
        await _device.PlayAsync(2);

        Assert.Equal(PresentationEnd.Complete, (await played).End);
    }

    [Fact]
    public async Task ACancelledStepIsSilentAndSilenceDoesNotLastForTheNext()
    {
        using var step = new CancellationTokenSource();
        var played = _engine.PresentAsync(Tone(lead: 0, body: 48_000), step.Token);
        await _device.PlayAsync(3);
        await step.CancelAsync();
        await _device.LetGoAsync(2);
        Assert.Equal(PresentationEnd.Silenced, (await played).End);

        _engine.Silence();
        var next = _engine.PresentAsync(Tone(lead: 0, body: 480, tail: 0), Cancel);
        await _device.LetGoAsync(2);

        Assert.Equal(PresentationEnd.Complete, (await next).End);
    }

    [Fact]
    public async Task TheKitClockCountsFramesPlayed()
    {
        var first = _engine.PresentAsync(Tone(lead: 0, body: 480, tail: 0), Cancel);
        await _device.PlayAsync(1);
        await first;
        Assert.Equal(Block, _engine.Frames);

        var second = _engine.PresentAsync(Tone(lead: 0, body: 480, tail: 480), Cancel);
        await _device.PlayAsync(2);
        var result = await second;

        Assert.Equal(Block, result.OnsetFrame);
        Assert.Equal(3 * Block, _engine.Frames);
        Assert.Equal(30, _engine.NowMs);
    }

    [Fact]
    public async Task APressOfThePadIsStampedWithTheFrameBeingPlayed()
    {
        var moves = new List<bool>();
        _engine.Button.Moved += moves.Add;
        var played = _engine.PresentAsync(Tone(lead: 0, body: 4800), Cancel);
        await _device.PlayAsync(4);

        var before = _engine.Frames;
        _engine.Button.Down();
        _engine.Button.Down();
        await _device.PlayAsync(2);
        _engine.Button.Up();
        await _device.LetGoAsync(10);
        var press = Assert.Single((await played).Presses);

        Assert.InRange(press.DownFrame, before, before + Block);
        Assert.Equal([true, false], moves);
    }

    [Fact]
    public async Task SoundLampGoesOnAndOffWithTheTone()
    {
        var lamp = new List<bool>();
        _engine.SoundChanged += lamp.Add;
        var played = _engine.PresentAsync(Tone(lead: 960, body: 960, tail: 960), Cancel);
        await _device.PlayAsync(6);
        await played;

        Assert.Equal([true, false], lamp);
    }

    [Fact]
    public async Task AFailedDeviceEndsThePresentationAndEveryLaterOne()
    {
        var played = _engine.PresentAsync(Tone(), Cancel);
        await _device.PlayAsync(1);
        _device.Breaks = true;
        await _device.LetGoAsync(1);

        Assert.Equal(PresentationEnd.DeviceFault, (await played).End);
        Assert.Equal("The plug was pulled.", _engine.Fault?.Sentence);
        Assert.Equal(PresentationEnd.DeviceFault, (await _engine.PresentAsync(Tone(), Cancel)).End);
    }

    [Fact]
    public async Task AFaultNobodyThoughtOfEndsEveryPresentationInSilenceToo()
    {
        _device.Failure = new InvalidOperationException("A driver's own fault.");
        var played = _engine.PresentAsync(Tone(), Cancel);
        await _device.PlayAsync(1);
        _device.Breaks = true;
        await _device.LetGoAsync(1);

        Assert.Equal(PresentationEnd.DeviceFault, (await played.WaitAsync(TimeSpan.FromSeconds(20), TimeProvider.System, Cancel)).End);
        Assert.Equal(PresentationEnd.DeviceFault, (await _engine.PresentAsync(Tone(), Cancel)).End);
    }

    [Fact]
    public async Task NoStimulusMayBeLongerThanTheLongest()
    {
        await Assert.ThrowsAsync<InvalidOperationException>(() => _engine.PresentAsync(Tone(body: AudioFormat.FramesOf(10_001)), Cancel));
    }

    [Fact]
    public async Task AMovedMixerEndsTheToneAndTheNextIsPlayedOnceItIsMended()
    {
        var played = _engine.PresentAsync(Tone(lead: 0, body: 48_000), Cancel);
        await _device.PlayAsync(5);

        _device.Standing = new DeviceFault(DeviceFaultKind.Mendable, "It was moved.", "Move it back.");
        await _device.LetGoAsync(2);
        var result = await played;

        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Equal("It was moved. Move it back.", result.Fault?.ToString());
        Assert.Equal(0f, _device.Left(_device.Frames - 1), 1e-4);
        Assert.Equal("It was moved.", _engine.Fault?.Sentence);

        _device.Standing = null;
        var next = _engine.PresentAsync(Tone(lead: 0, body: 480, tail: 0), Cancel);
        await _device.LetGoAsync(3);
        Assert.Equal(PresentationEnd.Complete, (await next).End);
        Assert.Null(_engine.Fault);
    }

    [Fact]
    public async Task WithAMovedMixerNotOneSampleIsPlayed()
    {
        _device.Standing = new DeviceFault(DeviceFaultKind.Mendable, "It was moved.", "Move it back.");
        var played = _engine.PresentAsync(Tone(lead: 0), Cancel);
        await _device.PlayAsync(1);

        Assert.Equal(PresentationEnd.DeviceFault, (await played).End);
        Assert.All(Enumerable.Range(0, (int)_device.Frames), frame => Assert.Equal(0f, _device.Left(frame)));
    }

    [Fact]
    public async Task AMaskerSoundsFromTheFirstFrameToTheLastInTheOtherEar()
    {
        var played = _engine.PresentAsync(Tone(lead: 1000, body: 480, tail: 1000, ear: Ear.Right) with { Masker = new FlatTone(100_000, 0.25f) }, Cancel);
        await _device.PlayAsync(6);
        var result = await played;

        Assert.Equal(PresentationEnd.Complete, result.End);
        for (var frame = 0; frame < _device.Frames; frame++)
        {
            Assert.Equal(frame < 2480 ? 0.25f : 0f, _device.Left(frame));
            Assert.Equal(frame is >= 1000 and < 1480 ? 0.5f : 0f, _device.Right(frame));
        }
    }

    [Fact]
    public async Task NoSoundIsTakenWithoutALeaseOrBeyondItsLongestTime()
    {
        Presentation[] refused =
        [
            Tone(needsLease: false),
            Tone(needsLease: false) with { Tone = null, Masker = new FlatTone(100) },
            Tone(body: AudioFormat.FramesOf(Presentation.LongestToneMs) + 1),
            Tone(tail: AudioFormat.FramesOf(Presentation.LongestMaskerMs)) with { Tone = null, Masker = new FlatTone(100) },
        ];

        foreach (var presentation in refused)
        {
            await Assert.ThrowsAsync<InvalidOperationException>(() => _engine.PresentAsync(presentation, Cancel));
        }
    }

    [Fact]
    public async Task AMaskerAloneCountsAsSound()
    {
        var heard = new List<bool>();
        _engine.SoundChanged += heard.Add;
        var played = _engine.PresentAsync(Tone(lead: Block, body: Block, tail: 0) with { Tone = null, Masker = new FlatTone(100_000, 0.25f) }, Cancel);
        await _device.PlayAsync(2);
        await played;

        Assert.Equal([true, false], heard);
    }

    [Fact]
    public async Task SilenceTakesTheMaskerAlong()
    {
        var played = _engine.PresentAsync(Tone(lead: 48_000) with { Masker = new FlatTone(100_000, 0.25f) }, Cancel);
        await _device.PlayAsync(3);
        _engine.Silence();
        await _device.LetGoAsync(2);

        Assert.Equal(PresentationEnd.Silenced, (await played).End);
        Assert.Equal(0f, _device.Right(_device.Frames - 1), 1e-4);
    }

    [Theory]
    [InlineData(1.01f)]
    [InlineData(float.NaN)]
    [InlineData(float.PositiveInfinity)]
    public async Task ASampleBeyondFullScaleIsNeverHandedOver(float level)
    {
        var played = _engine.PresentAsync(Tone(lead: 0) with { Tone = new FlatTone(4800, level) }, Cancel);

        var result = await played.WaitAsync(TimeSpan.FromSeconds(20), TimeProvider.System, Cancel);

        Assert.Equal(PresentationEnd.DeviceFault, result.End);
        Assert.Equal(0, _device.Frames);
    }

    [Fact]
    public async Task APressIsStampedWithTheFrameThatSoundsAndThePresentationLastsUntilItSounded()
    {
        _device.LatencyFrames = 2 * Block;
        var played = _engine.PresentAsync(Tone(lead: 0, body: 480, tail: 480), Cancel);
        await _device.PlayAsync(3);

        Assert.Equal(Block, _engine.HeardFrames);
        Assert.False(played.IsCompleted);
        await _device.PlayAsync(1);
        Assert.Equal(PresentationEnd.Complete, (await played).End);
    }
}
