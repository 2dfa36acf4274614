using Microsoft.Extensions.Time.Testing;
using TeleHearing.Clinician.Web.State;

namespace TeleHearing.Clinician.Web.Tests;

public sealed class HubClockTests
{
    private readonly FakeTimeProvider _time = new(SampleViews.HubTime.AddDays(-3));
    private readonly HubClock _clock;

    public HubClockTests() => _clock = new HubClock(_time);

    [Fact]
    public void ABurstOfPicturesThatWaitedForSecondsDoesNotSetTheClockBack()
    {
        _clock.Hear(SampleViews.HubTime);
        _time.Advance(TimeSpan.FromSeconds(30));

        for (var late = 0; late < 100; late++)
        {
            _clock.Hear(SampleViews.HubTime.AddSeconds(22));
        }

        Assert.Equal(SampleViews.HubTime.AddSeconds(30), _clock.Now);
    }

    [Fact]
    public void APictureThatCameFasterIsNearerTheTruth()
    {
        _clock.Hear(SampleViews.HubTime.AddSeconds(-2));
        _clock.Hear(SampleViews.HubTime.AddSeconds(-1));

        Assert.Equal(SampleViews.HubTime.AddSeconds(-1), _clock.Now);
    }

    [Fact]
    public void AHubWhoseClockWasSetBackIsFollowedAfterTenMinutes()
    {
        _clock.Hear(SampleViews.HubTime);
        for (var minute = 1; minute <= 12; minute++)
        {
            _time.Advance(TimeSpan.FromMinutes(1));
            _clock.Hear(SampleViews.HubTime.AddMinutes(minute).AddSeconds(-20));
        }

        Assert.Equal(SampleViews.HubTime.AddMinutes(12).AddSeconds(-20), _clock.Now);
    }

    [Fact]
    public void AnEmptyPictureCarriesNoTime()
    {
        _clock.Hear(default);

        Assert.False(_clock.Known);
        Assert.Equal(_time.GetUtcNow(), _clock.Now);
    }
}
