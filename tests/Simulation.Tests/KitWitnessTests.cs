using System.Buffers.Text;
using System.Text.Json;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Simulation.Parts;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Tests;

/// <summary>What the witness of a kit objects to, and what it lets pass, on made-up histories.</summary>
public sealed class KitWitnessTests
{
    private const string AfterCut = "no sound after a cut or a stop";
    private const string BeyondLease = "no sound beyond its lease";
    private const float Quiet = 0.0001f;

    private static readonly TimeSpan _block = TimeSpan.FromMilliseconds(10);

    private readonly Loop _loop = new(new Random(1), shuffles: false);
    private readonly List<string> _rules = [];
    private readonly KitWitness _witness;
    private readonly Guid _run = Guid.NewGuid();
    private readonly StepOrder _order = new(SessionId.New(), StepId.New(), 1, 1, long.MaxValue, 80, 1, [], new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000));
    private long _number;

    public KitWitnessTests() => _witness = new KitWitness(_loop, new Trace(() => _loop.Now), "kit", (rule, _) => _rules.Add(rule));

    [Fact]
    public void SoundOfAStepInHandWithALeaseIsLetPass()
    {
        Begin();
        Sound(50);

        Assert.Empty(_rules);
    }

    [Fact]
    public void TheFallAfterACutIsLetPassAndTheBlockAfterItIsNot()
    {
        Begin();
        Sound(5);
        _witness.Heard(nameof(IKitClient.Cut), _order.StepId);
        Sound(1);
        Assert.Empty(_rules);

        Sound(1);
        Assert.Equal([AfterCut], _rules);
    }

    [Fact]
    public void SoundLongAfterTheConsoleWasToldThatTheStepIsCutIsSeen()
    {
        Begin();
        _witness.ToldOver(_order.StepId);
        for (var blocks = 0; blocks < 200; blocks++)
        {
            Grant(Protocol.LeaseLengthMs);
            Sound(1);
        }

        Assert.Contains(AfterCut, _rules);
        Assert.DoesNotContain(BeyondLease, _rules);
    }

    [Fact]
    public void NothingSoundsAfterAStopUntilTheHubHoldsItAndHasAnsweredIt()
    {
        Begin();
        _witness.StopReached();
        Sound(1);
        Assert.Empty(_rules);

        // One that was under way when stop was pressed.
        _witness.Heard(nameof(IKitClient.ShowScene), Scene(stopped: false));
        Sound(1);
        Assert.Equal([AfterCut], _rules);

        _rules.Clear();
        var journal = JournalId.New();
        var reports = Signed(new KitBatch(journal, [new JournaledReport(1, _order.SessionId, 0, new StopPressed())]));
        _witness.Says(reports);
        _witness.Answered(reports, new ReportAck(1, null));
        _witness.Heard(nameof(IKitClient.ShowScene), Scene(stopped: true));
        Sound(1);
        Assert.Equal([AfterCut], _rules);

        _rules.Clear();
        _witness.Heard(nameof(IKitClient.ShowScene), Scene(stopped: false));
        Sound(3);
        Assert.Empty(_rules);
    }

    [Fact]
    public void AStopOutlivesARestartWhenTheDiskTookIt()
    {
        Begin();
        _witness.StopReached();
        _witness.StopKept();
        _witness.Started();
        _witness.InHand(_order);
        Sound(2);

        Assert.Equal([AfterCut], _rules);
    }

    [Fact]
    public void SoundBetweenTwoStepsIsSeen()
    {
        Begin();
        _witness.InHand(null);
        Sound(1);

        Assert.Equal(["no sound without its step"], _rules);
    }

    [Fact]
    public void ALeaseCountsNoLongerThanTheProtocolSays()
    {
        Begin(10 * Protocol.LeaseLengthMs);
        Wait(Protocol.LeaseLengthMs + 100);
        Sound(2);

        Assert.Equal([BeyondLease], _rules);
    }

    [Fact]
    public void ALeaseOfNoLengthTakesTheRightAway()
    {
        Begin();
        Grant(0);
        Wait(100);
        Sound(2);

        Assert.Equal([BeyondLease], _rules);
    }

    [Fact]
    public void ALouderPeakThanTheOrderAllowsIsSeen()
    {
        Begin();
        _witness.Sounded(_block, 1f);

        Assert.Equal(["no sound beyond its cap"], _rules);
    }

    [Fact]
    public void AStepBegunTwiceIsSeen()
    {
        JournaledReport Begun(long sequence) => new(sequence, _order.SessionId, 0, new StepStarted(_order.StepId));
        _witness.Says(Signed(new KitBatch(JournalId.New(), [Begun(1), Begun(2)])));

        Assert.Equal(["no command acted twice"], _rules);
    }

    [Fact]
    public void AWelcomeCountsAsAnAcknowledgement()
    {
        var hello = new KitHello(Protocol.Version, "simulated", JournalId.New(), 5, null, []);
        _witness.Answered(hello, new KitWelcome(null, 5, null, null, null));

        Assert.Equal(5, _witness.Acknowledged[hello.JournalId]);
    }

    private static SignedReports Signed(KitBatch batch) => new($".{Base64Url.EncodeToString(JsonSerializer.SerializeToUtf8Bytes(batch, Protocol.Json))}.");

    private KitScene Scene(bool stopped) => new(_order.SessionId, SessionStage.Testing, null, null, null, false, null, stopped) { ControlEpoch = 1 };

    private void Begin(int lengthMs = Protocol.LeaseLengthMs)
    {
        Grant(lengthMs);
        _witness.InHand(_order);
    }

    private void Grant(int lengthMs)
    {
        var grant = new LeaseGrant(++_number, _run, (long)_loop.Now.TotalMilliseconds, lengthMs);
        _witness.Sent(grant);
        _witness.Heard(nameof(IKitClient.RenewLease), grant);
    }

    private void Sound(int blocks)
    {
        for (var block = 0; block < blocks; block++)
        {
            _witness.Sounded(_block, Quiet);
            Wait(_block.TotalMilliseconds);
        }
    }

    private void Wait(double ms) => _loop.Run(_loop.Now + TimeSpan.FromMilliseconds(ms), () => false);
}
