using Microsoft.Extensions.Time.Testing;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Site.Agent.Tests.Link;

public sealed class OutageNoticesTests
{
    [Fact]
    public void AnOutageIsToldAtOnceThenEverMoreSparinglyAndAnewAfterItWasOver()
    {
        var time = new FakeTimeProvider();
        var notices = new OutageNotices(time);
        var told = new List<int>();
        for (var second = 0; second <= 300; second++)
        {
            if (notices.IsDue())
            {
                told.Add(second);
            }

            time.Advance(TimeSpan.FromSeconds(1));
        }

        Assert.Equal([0, 2, 6, 14, 30, 62, 122, 182, 242], told);
        notices.Reset();
        Assert.True(notices.IsDue());
        Assert.False(notices.IsDue());
    }
}
