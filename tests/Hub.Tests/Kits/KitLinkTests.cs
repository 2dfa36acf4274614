using System.Collections.Concurrent;
using System.Security.Cryptography;
using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Links;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>A kit that takes nothing, or to which something cannot be said, is cut and gets no lease any more.</summary>
public sealed class KitLinkTests
{
    private readonly WaitedFor _time = new();
    private readonly RecordingKit _kit = new();
    private readonly ConcurrentQueue<Exception> _faults = [];
    private readonly TaskCompletionSource _aborted = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private readonly ECDsa _key = ECDsa.Create(ECCurve.NamedCurves.nistP256);
    private readonly KitBinding _binding;
    private readonly HubClock _clock;
    private readonly LinkHeard _heard;
    private readonly KitLink _link;

    public KitLinkTests()
    {
        _clock = new HubClock(_time);
        _heard = new LinkHeard(_time);
        _binding = new KitBinding(_key.ExportSubjectPublicKeyInfoPem(), "link");
        _link = new KitLink(new KitId("kit-01"), "connection", _binding, _kit, () => _aborted.TrySetResult(), _faults.Enqueue, _time, _heard);
        _link.Take(Sounding(StepId.New(), 1));
    }

    [Fact]
    public void WhatAKitSignedCountsForNothingOnceItsLinkIsOver()
    {
        var hello = new KitHelloProof(new KitId("kit-01"), "link", new JournalId(Guid.CreateVersion7()));
        var signed = KitJws.Sign(_key, KitJws.Hello, hello);
        using var another = ECDsa.Create(ECCurve.NamedCurves.nistP256);
        Assert.Equal(hello, _binding.Open<KitHelloProof>(KitJws.Hello, signed));
        Assert.Null(_binding.Open<KitHelloProof>(KitJws.Hello, KitJws.Sign(another, KitJws.Hello, hello)));

        // The same key after a rest, and none after the end.
        _binding.Rest();
        Assert.Null(_binding.Open<KitHelloProof>(KitJws.Hello, KitJws.Sign(another, KitJws.Hello, hello)));
        Assert.Equal(hello, _binding.Open<KitHelloProof>(KitJws.Hello, signed));

        _link.Close();

        Assert.Null(_binding.Open<KitHelloProof>(KitJws.Hello, signed));
        _binding.Rest();
        Assert.Null(_binding.Open<KitHelloProof>(KitJws.Hello, signed));
    }

    [Theory]
    [InlineData("queue")]
    [InlineData("beside")]
    [InlineData("lease")]
    public async Task AKitThatDoesNotTakeAMessageIsCutAfterItsTime(string way)
    {
        _kit.Stalled = true;
        _link.Open();
        Send(way);
        await _time.Waits.Reader.ReadAsync(TestContext.Current.CancellationToken);

        _time.Advance(Watcher.LongestSend - TimeSpan.FromMilliseconds(1));
        Assert.False(_aborted.Task.IsCompleted);
        _time.Advance(TimeSpan.FromMilliseconds(1));

        await NothingGoesOut();
        Assert.IsType<TimeoutException>(Assert.Single(_faults));
    }

    [Theory]
    [InlineData("queue")]
    [InlineData("beside")]
    [InlineData("lease")]
    public async Task WhatCannotBeSaidEndsTheLinkAndThrowsNothing(string way)
    {
        _kit.Fails = true;
        _link.Open();

        Send(way);

        await NothingGoesOut();
        Assert.IsType<InvalidOperationException>(Assert.Single(_faults));
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public async Task ALinkDoesNotOutliveThatThereIsNoMemoryToSay(bool queued)
    {
        _link.Open();

        (queued ? _link.Post : (Action<Func<IKitClient, Task>>)_link.Now)(_ => throw new InsufficientMemoryException());

        await NothingGoesOut();
        Assert.Empty(_faults);
    }

    [Fact]
    public async Task AHushedStepGetsNoLeaseAnyMoreAndTheNextOneDoes()
    {
        _link.Renew(_clock);
        Assert.Equal("lease 1000", await Next());

        _link.Hush(_clock);
        Assert.Equal("cut", await Next());
        Assert.Equal("lease 0", await Next());

        // The same step a few events later is still the one that was ended.
        _link.Take(_link.Duty with { Version = 2 });
        _link.Renew(_clock);
        Assert.Equal("lease 0", await Next());

        _link.Take(Sounding(StepId.New(), 3));
        _link.Renew(_clock);
        Assert.Equal("lease 1000", await Next());
    }

    [Fact]
    public async Task ALeaseEndsOneLengthAfterTheKitWasLastHeard()
    {
        foreach (var (passesMs, lease) in new[] { (0, "lease 1000"), (150, "lease 850"), (700, "lease 150"), (200, "lease 0") })
        {
            _time.Advance(TimeSpan.FromMilliseconds(passesMs));
            _link.Renew(_clock);
            Assert.Equal(lease, await Next());
        }

        _heard.Note();
        _link.Renew(_clock);
        Assert.Equal("lease 1000", await Next());
    }

    [Fact]
    public void ThatItIsHeardAgainIsToldAlsoWhenItsSilenceWasSeenBetweenTwoLooks()
    {
        Assert.False(_link.HasTurned());
        _time.Advance(TimeSpan.FromMilliseconds(1001));
        Assert.True(_link.IsSilent);
        _heard.Note();

        Assert.True(_link.HasTurned());
        Assert.False(_link.HasTurned());

        _time.Advance(TimeSpan.FromMilliseconds(1001));
        Assert.True(_link.HasTurned());
        Assert.True(_link.IsSilent);
        Assert.False(_link.HasTurned());
        _heard.Note();
        Assert.True(_link.HasTurned());
        Assert.False(_link.HasTurned());
    }

    private static KitDuty Sounding(StepId step, long version) => KitDuty.None with { SessionId = new SessionId(Guid.Parse("019c0000-0000-7000-8000-000000000001")), Version = version, Open = true, SoundMayBeOn = true, Step = step };

    private ValueTask<string> Next() => _kit.Heard.Reader.ReadAsync(TestContext.Current.CancellationToken);

    private void Send(string way)
    {
        switch (way)
        {
            case "queue":
                _link.Post(client => client.Cut(StepId.New()));
                break;
            case "beside":
                _link.Now(client => client.Cut(StepId.New()));
                break;
            default:
                _link.Renew(_clock);
                break;
        }
    }

    private async Task NothingGoesOut()
    {
        await _aborted.Task.WaitAsync(TestContext.Current.CancellationToken);
        (_kit.Stalled, _kit.Fails) = (false, false);
        while (_kit.Heard.Reader.TryRead(out _))
        {
            // What was under way.
        }

        Send("queue");
        Send("lease");
        Assert.False(_kit.Heard.Reader.TryRead(out _));
    }

    private sealed class RecordingKit : IKitClient
    {
        public bool Stalled { get; set; }

        public bool Fails { get; set; }

        public Channel<string> Heard { get; } = Channel.CreateUnbounded<string>();

        public Task Cut(StepId stepId) => Take("cut");

        public Task RenewLease(LeaseGrant lease) => Take($"lease {lease.LengthMs}");

        public Task Carry(SignedOrder order) => Take("order");

        public Task ShowScene(KitScene scene) => Take("scene");

        public Task Wipe(WipeOrder order) => Take("wipe");

        public Task Revoked(string reason) => Take("revoked");

        private Task Take(string what)
        {
            if (Fails)
            {
                throw new InvalidOperationException("It could not be signed.");
            }

            Heard.Writer.TryWrite(what);
            return Stalled ? new TaskCompletionSource().Task : Task.CompletedTask;
        }
    }
}
