using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Testing;

namespace TeleHearing.Site.Agent.Tests.Journal;

public sealed class HeldHeadsTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    private HeldHeads Held() => new(_folder.Path, new DurableFiles(), NullLogger<HeldHeads>.Instance);

    [Fact]
    public void WhatWasToldOutlivesARestartAndAnOlderHeadHidesNothing()
    {
        var held = Held();
        held.Take([new HeldHead("audit", 7, "aa"), new HeldHead("session", 3, "bb")]);

        held.Take([new HeldHead("audit", 5, "cc")]);
        held.Take([new HeldHead("session", 4, "dd")]);
        held.Take(null);

        Assert.Equal([new HeldHead("audit", 7, "aa"), new HeldHead("session", 4, "dd")], Held().Now);
    }

    [Fact]
    public void TheNewestAreKeptAndADamagedFileCountsAsNone()
    {
        var held = Held();
        foreach (var number in Enumerable.Range(1, HeldHead.MostHeld + 3))
        {
            held.Take([new HeldHead($"session-{number}", number, "aa")]);
        }

        Assert.Equal(HeldHead.MostHeld, Held().Now.Count);
        Assert.Equal(HeldHead.MostHeld + 3, Held().Now[^1].Sequence);
        File.WriteAllText(Path.Combine(_folder.Path, "heads.json"), "{broken");
        Assert.Empty(Held().Now);
    }
}
