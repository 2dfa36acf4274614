using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;

namespace TeleHearing.Hub.Tests.Neighbours;

/// <summary>Sound is allowed by a hub only as long as it sees what the others decide, and orders expire at the same moment in every hub's time.</summary>
public sealed class SharedTimeTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 3, 2, 8, 0, 0, TimeSpan.Zero));

    [Fact]
    public void AHubThatDoesNotSeeTheLogAllowsNoSound()
    {
        var clock = new HubClock(_time);
        _time.Advance(TimeSpan.FromHours(1));
        Assert.Equal(Protocol.LeaseLengthMs, clock.NextLease(soundMayBeOn: true).LengthMs);

        clock.SawTheLog(_time.GetTimestamp());
        _time.Advance(TimeSpan.FromMilliseconds(Protocol.LeaseLengthMs));
        Assert.Equal(Protocol.LeaseLengthMs, clock.NextLease(soundMayBeOn: true).LengthMs);
        _time.Advance(TimeSpan.FromMilliseconds(1));
        Assert.Equal(0, clock.NextLease(soundMayBeOn: true).LengthMs);

        clock.SawTheLog(_time.GetTimestamp());
        Assert.Equal(Protocol.LeaseLengthMs, clock.NextLease(soundMayBeOn: true).LengthMs);
        Assert.Equal(0, clock.NextLease(soundMayBeOn: false).LengthMs);
    }

    [Fact]
    public void AnOrderExpiresAtTheSameMomentInEveryHubsTime()
    {
        // Started at different times, with wall clocks that are wrong in different ways.
        var (first, wrong) = (new HubClock(_time), new FakeTimeProvider(_time.GetUtcNow().AddMinutes(-7)));
        wrong.Advance(TimeSpan.FromMinutes(3));
        var second = new HubClock(wrong);
        wrong.Advance(TimeSpan.FromSeconds(40));
        var database = new DateTimeOffset(2026, 3, 2, 9, 30, 0, TimeSpan.Zero);
        first.SetShared(database, _time.GetTimestamp());
        second.SetShared(database, wrong.GetTimestamp());
        var order = new StepOrder(SessionId.New(), StepId.New(), 1, 1, first.RunningMs + 5_000, 100, 1, [], new CheckKitStep());
        var expires = first.SharedNow.AddSeconds(5);

        _time.Advance(TimeSpan.FromSeconds(2));
        wrong.Advance(TimeSpan.FromSeconds(2));

        Assert.Equal(second.RunningMs + 3_000, second.InOwnTime(order, expires).ExpiresAtHubMs);
        Assert.Equal(order.ExpiresAtHubMs, first.InOwnTime(order, expires).ExpiresAtHubMs);
    }
}
