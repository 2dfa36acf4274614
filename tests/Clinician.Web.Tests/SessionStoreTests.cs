using Microsoft.Extensions.Time.Testing;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Clinician.Web.State;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class SessionStoreTests : IDisposable
{
    private readonly FakeLink _link = new();
    private readonly FakeTimeProvider _time = new(SampleViews.HubTime);
    private readonly SessionStore _store;

    public SessionStoreTests() => _store = new SessionStore(_link, new HubClock(_time), _time);

    public void Dispose() => _store.Dispose();

    [Fact]
    public async Task AnOlderPictureIsDropped()
    {
        await Watch(SampleViews.At(SessionStage.Consent, version: 12));

        _link.Push(SampleViews.At(SessionStage.Identity, version: 11));

        Assert.Equal(SessionStage.Consent, _store.View!.Stage);
    }

    [Fact]
    public async Task ANewerPictureIsShown()
    {
        await Watch(SampleViews.At(SessionStage.Consent, version: 12));

        _link.Push(SampleViews.At(SessionStage.KitCheck, version: 13));

        Assert.Equal(SessionStage.KitCheck, _store.View!.Stage);
    }

    [Fact]
    public async Task OfTwoPicturesOfOneVersionTheLaterMadeIsShown()
    {
        var online = SampleViews.At(SessionStage.Connecting, version: 12);
        await Watch(online);

        _link.Push(online with { HubTime = online.HubTime.AddSeconds(1), Kit = online.Kit with { Online = false } });
        _link.Push(online);

        Assert.False(_store.View!.Kit.Online);
    }

    [Fact]
    public async Task APictureOfAnotherSessionIsNotShown()
    {
        await Watch(SampleViews.At(SessionStage.Consent, version: 12));

        _link.Push(SampleViews.At(SessionStage.Review, version: 99) with { SessionId = SessionId.New() });

        Assert.Equal(SessionStage.Consent, _store.View!.Stage);
    }

    [Fact]
    public async Task AfterALostLinkTheSessionIsWatchedAgain()
    {
        await Watch(SampleViews.At(SessionStage.Testing, version: 12));
        _link.Enter(LinkPhase.Reconnecting);
        _link.Reply = new WatchReply(SampleViews.At(SessionStage.Paused, version: 20), null);

        _link.Enter(LinkPhase.Connected);

        Assert.Equal([SampleViews.Session, SampleViews.Session], _link.Watches);
        Assert.Equal(SessionStage.Paused, _store.View!.Stage);
    }

    [Fact]
    public async Task TheSoundLampGoesOutWithTheLinkAndWithTheStep()
    {
        var running = SampleViews.At(SessionStage.Testing) with { Step = SampleViews.Search(Audiology.Ear.Right, [1000], 1) };
        await Watch(running);
        _link.Push(LiveSignalKind.SoundOn);
        Assert.True(_store.SoundOn);

        _link.Push(running with { Version = 41, Step = running.Step! with { Ending = StepEnding.Completed } });
        Assert.False(_store.SoundOn);

        _link.Push(running with { Version = 42 });
        _link.Push(LiveSignalKind.SoundOn);
        _link.Enter(LinkPhase.Reconnecting);
        Assert.False(_store.SoundOn);
    }

    [Fact]
    public async Task AShortPressIsShownLongEnoughToBeSeen()
    {
        await Watch(SampleViews.At(SessionStage.Testing));

        _link.Push(LiveSignalKind.ButtonDown);
        _link.Push(LiveSignalKind.ButtonUp);
        Assert.True(_store.ButtonDown);

        _time.Advance(TimeSpan.FromSeconds(1));
        Assert.False(_store.ButtonDown);
    }

    [Fact]
    public async Task TheRoomIsShownAsHeardAndFadesWhenNothingMoreComes()
    {
        await Watch(SampleViews.At(SessionStage.Testing));
        var changes = 0;
        _store.RoomChanged += () => changes++;

        _link.Push(new LiveRoom([30, 40], [], 45, null));
        _link.Push(new LiveRoom([20, 40], [], 45, null));
        Assert.Equal([20, 40], _store.Room.Now!.LevelsDbSpl);
        Assert.Equal(2, changes);

        _time.Advance(TimeSpan.FromSeconds(4));
        Assert.Null(_store.Room.Now);
        Assert.Equal(3, changes);
    }

    [Fact]
    public void WordsStandStillForASecondAndSayTheAverageOfItsEnergy()
    {
        var readings = new RoomReadings();
        readings.Add(new LiveRoom([50], [], 50, null));
        readings.Add(new LiveRoom([20], [], 20, null));
        Assert.Equal(50, readings.Second!.LevelsDbSpl[0], 1e-9);

        readings.Add(new LiveRoom([20], [], 20, "Overloaded."));
        readings.Add(new LiveRoom([20], [], 20, null));

        // one part in four at 50 dB, the rest far below: 6 dB less
        Assert.Equal(43.98, readings.Second!.LevelsDbSpl[0], 0.02);
        Assert.Equal("Overloaded.", readings.Second.Fault);
        Assert.Equal(20, readings.Now!.LevelsDbSpl[0]);
    }

    private async Task Watch(SessionView view)
    {
        _link.Reply = new WatchReply(view, null);
        await _store.Watch(view.SessionId);
    }
}
