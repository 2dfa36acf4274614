using Microsoft.Extensions.Time.Testing;
using TeleHearing.Hub.Audit;

namespace TeleHearing.Hub.Tests.Audit;

/// <summary>A flood is counted, not lost, and others are not drowned in it.</summary>
public sealed class RefusalCounterTests
{
    private readonly FakeTimeProvider _time = new();

    [Fact]
    public void TheFirstOnesAreEntriesAndTheRestOfAMinuteIsOneWithItsNumber()
    {
        var counter = new RefusalCounter(_time);
        var refusal = new AuditEntry("GET /api/board", "person-1", null, [], "identity.role-not-allowed");

        var single = Enumerable.Range(0, 100).Sum(_ => counter.Take(refusal).Count);
        Assert.Equal(RefusalCounter.Single, single);
        Assert.Single(counter.Take(refusal with { PersonId = "person-2" }));
        Assert.Empty(counter.Due(everything: false));

        _time.Advance(TimeSpan.FromMinutes(1));
        Assert.Equal(refusal with { Times = 100 - RefusalCounter.Single }, Assert.Single(counter.Due(everything: false)));
        Assert.Single(counter.Take(refusal));
    }

    [Fact]
    public void WhatWasCountedIsWrittenWhenTheHubStops()
    {
        var counter = new RefusalCounter(_time);
        var refusal = new AuditEntry("GET /api/board", null, null, [], "identity.not-signed-in");
        foreach (var _ in Enumerable.Range(0, RefusalCounter.Single + 3))
        {
            counter.Take(refusal);
        }

        Assert.Equal(3, Assert.Single(counter.Due(everything: true)).Times);
        Assert.Empty(counter.Due(everything: true));
    }
}
