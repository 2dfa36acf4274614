using FsCheck;
using FsCheck.Fluent;
using Microsoft.Extensions.Time.Testing;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Site.Agent.Tests.Link;

public sealed class LeaseClockTests
{
    private readonly FakeTimeProvider _time = new();
    private readonly Guid _run = Guid.NewGuid();

    private LeaseGrant Grant(long number, long hubMs, int lengthMs = 1000) => new(number, _run, hubMs, lengthMs);

    private void Pass(double milliseconds) => _time.Advance(TimeSpan.FromMilliseconds(milliseconds));

    [Fact]
    public void WithoutAGrantThereIsNoSoundAndNoTime()
    {
        var lease = new LeaseClock(_time);

        Assert.False(lease.IsValid);
        Assert.Null(lease.HubNowMs);
    }

    [Fact]
    public void AGrantLastsItsLengthAndNoLonger()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 50_000));

        Pass(1000);
        Assert.True(lease.IsValid);
        Pass(1);
        Assert.False(lease.IsValid);
    }

    [Fact]
    public void ASampleThatSoundsAfterTheEndIsNotCovered()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 50_000));
        Pass(800);

        Assert.True(lease.IsValidFor(200));
        Assert.False(lease.IsValidFor(201));
        Assert.True(lease.IsValid);
    }

    [Fact]
    public void AGrantHeldUpOnItsWayProlongsNothing()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 0));
        Pass(900);

        // sent at 100 by the hub's clock, 800 ms on its way: it ends at 1100
        lease.Take(Grant(2, 100));

        Pass(199);
        Assert.True(lease.IsValid);
        Pass(2);
        Assert.False(lease.IsValid);
    }

    [Fact]
    public void ABurstOfOldGrantsDoesNotBringSoundBack()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 0));
        Pass(5000);
        for (var number = 2; number < 20; number++)
        {
            lease.Take(Grant(number, number * 200));
            Assert.False(lease.IsValid);
        }
    }

    [Fact]
    public void AFasterGrantCorrectsTheEstimateMadeFromASlowOne()
    {
        var lease = new LeaseClock(_time);
        Pass(300);
        lease.Take(Grant(1, 0));
        Assert.Equal(0, lease.HubNowMs);

        Pass(200);
        lease.Take(Grant(2, 400));

        Assert.Equal(400, lease.HubNowMs);
    }

    [Fact]
    public void AnOlderNumberChangesNothing()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(5, 0, lengthMs: 100));
        lease.Take(Grant(4, 0, lengthMs: 1000));

        Pass(500);

        Assert.False(lease.IsValid);
    }

    [Fact]
    public void NoGrantIsLongerThanTheProtocolsLease()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 0, lengthMs: 60_000));

        Pass(Protocol.LeaseLengthMs + 1);

        Assert.False(lease.IsValid);
    }

    [Fact]
    public void ALostLinkEndsTheLeaseAtOnceAndTheNextGrantBringsItBack()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 0));
        lease.Withdraw();
        Assert.False(lease.IsValid);

        Pass(100);
        lease.Take(Grant(2, 100));

        Assert.True(lease.IsValid);
    }

    [Fact]
    public void ARestartedHubIsReckonedAnew()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(900, 1_000_000));
        Pass(3000);

        lease.Take(new LeaseGrant(1, Guid.NewGuid(), 20, 1000));

        Assert.True(lease.IsValid);
        Assert.Equal(20, lease.HubNowMs);
    }

    [Fact]
    public void AHubThatSleptIsReckonedAnewAtTheNextHello()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 10_000));
        // a minute passes here; the hub's clock stood still for most of it
        Pass(60_000);
        lease.Withdraw();
        var asked = lease.KitNowMs;
        Pass(30);

        lease.TakeAnswer(Grant(2, 12_000, lengthMs: 0), asked);
        Assert.Equal(12_000, lease.HubNowMs!.Value, 1.0);
        lease.Take(Grant(3, 12_000));

        Assert.True(lease.IsValid);
    }

    [Fact]
    public void ALateAnswerToAHelloDoesNotLoosenTheEstimate()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 0));
        Pass(5000);
        lease.Withdraw();
        var asked = lease.KitNowMs;
        Pass(3000);

        // made at once by the hub, 3 s on its way
        lease.TakeAnswer(Grant(2, 5000), asked);

        Assert.False(lease.IsValid);
        Assert.Equal(8000, lease.HubNowMs!.Value, 2.0);
    }

    [Fact]
    public void AfterASleepOfThisMachineNothingCountsBeforeAHelloIsAnswered()
    {
        var time = new SleepyTime();
        var lease = new LeaseClock(time);
        Assert.True(lease.Take(Grant(1, 0)));
        Assert.True(lease.IsValid);

        time.Sleep(TimeSpan.FromSeconds(10));

        Assert.False(lease.IsValid);
        Assert.Null(lease.HubNowMs);
        // what the hub sent before it gave the link up, and what the network delivers only now
        Assert.False(lease.Take(Grant(2, 200)));
        Assert.False(lease.IsValid);
        lease.TakeAnswer(Grant(9, 10_000), lease.KitNowMs);
        Assert.True(lease.IsValid);
        Assert.True(lease.Take(Grant(10, 10_000)));
    }

    [Fact]
    public void AWallClockPutRightDoesNotLoosenTheEstimate()
    {
        var time = new SleepyTime();
        var lease = new LeaseClock(time);
        lease.Take(Grant(1, 0));
        time.Pass(TimeSpan.FromMilliseconds(2000));
        time.Sleep(TimeSpan.FromSeconds(4));
        Assert.False(lease.IsValid);
        var asked = lease.KitNowMs;

        // made at 2000 ms by the hub, 700 ms on its way: 300 ms of it are left
        time.Pass(TimeSpan.FromMilliseconds(700));
        lease.TakeAnswer(Grant(2, 2000), asked);

        Assert.Equal(2700, lease.HubNowMs!.Value, 1.0);
        Assert.True(lease.IsValidFor(295));
        Assert.False(lease.IsValidFor(305));
    }

    [Theory]
    [InlineData(1.0001)]
    [InlineData(0.9999)]
    public void ClocksThatDriftApartOverADayKeepTheLease(double hubRate)
    {
        var lease = new LeaseClock(_time);
        for (var minute = 1; minute <= 24 * 60; minute++)
        {
            Pass(60_000);
            lease.Take(Grant(minute, (long)(minute * 60_000 * hubRate)));
            Assert.True(lease.IsValid);
            Assert.InRange(lease.HubNowMs!.Value - (minute * 60_000 * hubRate), -15, 15);
        }
    }

    [Fact]
    public void ALinkThatStaysSlowLoosensNothing()
    {
        var lease = new LeaseClock(_time);
        lease.Take(Grant(1, 0));
        Pass(400);
        const int Grants = 3000;
        for (var number = 2; number <= Grants; number++)
        {
            // ten minutes, every grant 400 ms on its way
            lease.Take(Grant(number, (number - 2) * 200));
            Pass(200);
        }

        // the last was sent at 599,600 by the hub's clock, and both clocks run alike
        Pass(399);
        Assert.True(lease.IsValid);
        Pass(2);
        Assert.False(lease.IsValid);
    }

    [Fact]
    public void WhateverTheDelaysTheLeaseNeverOutlastsItsLengthByMoreThanTheSmallestDelay()
    {
        Check.QuickThrowOnFailure(Prop.ForAll(
            Gen.Choose(0, 3000).ListOf(20).ToArbitrary(),
            delays =>
            {
                var time = new FakeTimeProvider();
                var lease = new LeaseClock(time);
                var arrivals = delays.Select((delay, index) => (Sent: index * 200, Arrives: (index * 200) + delay, Number: index + 1)).OrderBy(grant => grant.Arrives).ToList();
                var now = 0;
                foreach (var grant in arrivals)
                {
                    time.Advance(TimeSpan.FromMilliseconds(grant.Arrives - now));
                    now = grant.Arrives;
                    lease.Take(Grant(grant.Number, grant.Sent));
                }

                var lastSent = arrivals.Max(grant => grant.Sent);
                // the drift allowance adds less than 1 ms over these few seconds
                var latest = lastSent + 1000 + delays.Min() + 1;
                time.Advance(TimeSpan.FromMilliseconds(Math.Max(0, latest - now) + 1));
                return !lease.IsValid;
            }));
    }

    /// <summary>A machine whose monotonic clock stands still while it sleeps.</summary>
    private sealed class SleepyTime : TimeProvider
    {
        private DateTimeOffset _now = new(2026, 3, 2, 12, 0, 0, TimeSpan.Zero);

        private long _ran;

        /// <summary>Both clocks go on.</summary>
        public void Pass(TimeSpan length)
        {
            _ran += length.Ticks;
            _now += length;
        }

        /// <summary>The wall clock alone goes on.</summary>
        public void Sleep(TimeSpan length) => _now += length;

        public override long TimestampFrequency => TimeSpan.TicksPerSecond;

        public override DateTimeOffset GetUtcNow() => _now;

        public override long GetTimestamp() => _ran;
    }
}
