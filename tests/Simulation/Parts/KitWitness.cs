using System.Buffers.Text;
using System.Text.Json;
using TeleHearing.Contracts;
using TeleHearing.Simulation.Scheduling;

namespace TeleHearing.Simulation.Parts;

/// <summary>Sees everything a kit is told, says and plays, across all runs of its program, and objects at once to what must never be. Knows nothing of how the program decides.</summary>
internal sealed class KitWitness(Loop loop, Trace trace, string name, Action<string, string> object_) : ILeaseWitness
{
    /// <summary>Rounding of times to milliseconds at both ends, one block of sound, and what two quartz clocks drift apart by in a lease.</summary>
    private static readonly TimeSpan _slack = TimeSpan.FromMilliseconds(10 + 10 + 2);

    /// <summary>The longest a clinician may order (docs/protocol.md; 10 s).</summary>
    private static readonly TimeSpan _longestTone = TimeSpan.FromSeconds(10);

    private readonly Dictionary<(Guid Run, long Number), TimeSpan> _sent = [];
    private readonly Dictionary<Guid, (TimeSpan Took, TimeSpan At)> _quickest = [];
    private readonly Dictionary<SessionId, int> _epochs = [];
    private readonly Dictionary<StepId, int> _begun = [];
    private readonly Dictionary<(JournalId, long), JournaledReport> _reported = [];
    private readonly Dictionary<Guid, long> _newest = [];
    private readonly SilenceWitness _silence = new();
    private TimeSpan _mayUntil;
    private TimeSpan _shownAt;
    private int _lateBlocks;
    private (TimeSpan From, TimeSpan To) _sound;
    private StepOrder? _order;

    /// <summary>Every report the kit handed over, sent or resent, by journal and place.</summary>
    public IReadOnlyDictionary<(JournalId JournalId, long Sequence), JournaledReport> Reported => _reported;

    /// <summary>The furthest place of each journal that the hub said it holds.</summary>
    public Dictionary<JournalId, long> Acknowledged { get; } = [];

    /// <summary>Sessions of which the hub took the kit's attestation that nothing is left on it.</summary>
    public HashSet<SessionId> Attested { get; } = [];

    /// <summary>How often each step was begun.</summary>
    public IReadOnlyDictionary<StepId, int> Begun => _begun;

    public void Sent(LeaseGrant grant) => _sent[(grant.HubRunId, grant.Number)] = loop.Now;

    /// <summary>The kit's program is told something.</summary>
    public void Heard(string method, object argument)
    {
        switch (argument)
        {
            case LeaseGrant grant:
                Granted(grant);
                break;
            case SignedOrder signed when Read<KitOrder>(signed.Signed) is { } carried:
                trace.Add($"{name} is told to carry out {Step(carried.Order.StepId)}, a {carried.Order.Request.GetType().Name}, number {carried.Order.OrderNumber}, epoch {carried.Order.ControlEpoch}");
                break;
            case StepId cut:
                _silence.Cut(cut);
                trace.Add($"{name} is told to cut {Step(cut)}");
                break;
            case KitScene scene:
                _silence.Scene(scene.Stopped);
                trace.Add($"{name} is shown {scene.Stage}, epoch {scene.ControlEpoch}{(scene.Stopped ? ", stopped" : string.Empty)}");
                break;
            default:
                trace.Add($"{name} is told {method}");
                break;
        }
    }

    /// <summary>The hub answered the kit.</summary>
    public void Answered(object asked, object? answer)
    {
        switch (asked, answer)
        {
            case (SignedReports signed, ReportAck ack) when Read<KitBatch>(signed.Signed) is { } batch:
                Held(batch.JournalId, ack.AcknowledgedSequence);
                trace.Add($"{name}'s reports up to {ack.AcknowledgedSequence} are acknowledged{(ack.Refusal is { } refusal ? $", {refusal.Code}" : string.Empty)}");
                break;
            case (KitHello hello, KitWelcome welcome):
                if (welcome.Refusal is null)
                {
                    Held(hello.JournalId, welcome.AcknowledgedSequence);
                }

                if (welcome.Scene is { } scene)
                {
                    _silence.Scene(scene.Stopped);
                }

                trace.Add($"{name} is welcomed at {welcome.AcknowledgedSequence}{(welcome.Refusal is { } unwelcome ? $": {unwelcome.Code}" : string.Empty)}");
                break;
            case (SignedWipe signed, WipeReply { JournalKeyBase64: not null }) when Read<KitWipe>(signed.Signed) is { LaidAside: null } wipe:
                Attested.UnionWith(wipe.Sessions);
                trace.Add($"{name}'s attestation that it is wiped is taken, of {wipe.Sessions.Count} sessions");
                break;
        }
    }

    /// <summary>The kit hands over reports.</summary>
    public void Says(SignedReports signed)
    {
        if (Read<KitBatch>(signed.Signed) is not { } batch)
        {
            return;
        }

        foreach (var report in batch.Reports)
        {
            if (_reported.TryAdd((batch.JournalId, report.Sequence), report))
            {
                trace.Add($"{name} says {report.Sequence}: {Words(report.Report)}");
                if (report.Report is StepStarted started)
                {
                    _begun[started.StepId] = _begun.GetValueOrDefault(started.StepId) + 1;
                    if (_begun[started.StepId] > 1)
                    {
                        object_("no command acted twice", $"{name} began {Step(started.StepId)} a second time");
                    }
                }
            }
        }
    }

    /// <summary>The kit's program starts, and knows nothing yet of how long messages take.</summary>
    public void Started()
    {
        _quickest.Clear();
        _silence.Started();
        _order = null;
    }

    /// <summary>Stop, or consent taken back, reaches the kit's program.</summary>
    public void StopReached()
    {
        _silence.Stop();
        trace.Add($"{name} takes a stop");
    }

    /// <summary>The kit's disk took that stop.</summary>
    public void StopKept() => _silence.StopKept();

    /// <summary>A console was told that the cut of a step is carried out. The last lease was given before, and the way of a grant is no part of it.</summary>
    public void ToldOver(StepId stepId) => _silence.ToldOver(stepId, loop.Now + TimeSpan.FromMilliseconds(Protocol.LeaseLengthMs) + _quickest.Keys.Select(Known).DefaultIfEmpty().Max() + _slack);

    public void LinkEnded()
    {
        _mayUntil = loop.Now;
        trace.Add($"{name}'s link ended");
    }

    /// <summary>The kit's screen shows this.</summary>
    public void Shown(KitScene scene)
    {
        if (scene is { SessionId: { } session, ControlEpoch: { } epoch })
        {
            if (epoch > _epochs.GetValueOrDefault(session))
            {
                (_epochs[session], _shownAt) = (epoch, loop.Now);
            }
        }
    }

    /// <summary>The kit takes an order in hand, and may still find that it must not begin it; or it has none in hand any more.</summary>
    public void InHand(StepOrder? order) => _order = order;

    /// <summary>A block that is not silent goes to the output.</summary>
    public void Sounded(TimeSpan length, float peak)
    {
        var now = loop.Now;
        _lateBlocks = now > _mayUntil + _slack ? _lateBlocks + 1 : 0;
        if (_lateBlocks > 1)
        {
            // One block is the fall of what a machine that was held up had on.
            object_("no sound beyond its lease", $"{name} sounds {(now - _mayUntil).TotalMilliseconds:0} ms after its right to");
        }

        _sound = (_sound.To >= now - TimeSpan.FromMilliseconds(1) ? _sound.From : now, now + length);
        if (_sound.To - _sound.From > _longestTone)
        {
            object_("no sound beyond its cap", $"{name} sounds for longer than any tone may");
        }

        if (_silence.WhyNot(_order?.StepId, now) is { } why)
        {
            object_("no sound after a cut or a stop", $"{name} sounds {why}");
        }

        if (_order is not { Request.MakesSound: true })
        {
            object_("no sound without its step", $"{name} sounds without a step that makes sound");
        }
        else if (_epochs.GetValueOrDefault(_order.SessionId) > _order.ControlEpoch && now > _shownAt + _slack)
        {
            object_("only the highest epoch acts", $"{name} sounds for {Step(_order.StepId)} of epoch {_order.ControlEpoch}, and was shown epoch {_epochs[_order.SessionId]}");
        }
        else if (!(peak <= Caps.PeakOf(_order)))
        {
            object_("no sound beyond its cap", $"{name} sounds with a peak of {peak}, above the {Caps.PeakOf(_order)} of its order");
        }
    }

    private void Granted(LeaseGrant grant)
    {
        if (!_sent.TryGetValue((grant.HubRunId, grant.Number), out var sent))
        {
            return;
        }

        // What the kit can know of the way is the quickest grant of this run of the hub; it owes silence a lease after that.
        var took = loop.Now - sent;
        if (!_quickest.ContainsKey(grant.HubRunId) || took <= Known(grant.HubRunId))
        {
            _quickest[grant.HubRunId] = (took, loop.Now);
        }

        if (_newest.TryGetValue(grant.HubRunId, out var newest) && grant.Number <= newest)
        {
            return;
        }

        // Whatever the hub says, no lease is longer than the protocol's; one of no length takes the right away.
        _newest[grant.HubRunId] = grant.Number;
        var until = grant.LengthMs > 0 ? sent + TimeSpan.FromMilliseconds(Math.Min(grant.LengthMs, Protocol.LeaseLengthMs)) + Known(grant.HubRunId) : loop.Now;
        _mayUntil = (grant.LengthMs > 0) == (until > _mayUntil) ? until : _mayUntil;
    }

    /// <summary>The way of the quickest grant, and what the two clocks may have drifted apart since it came: no program can see that while every later grant is held up.</summary>
    private TimeSpan Known(Guid run) => _quickest[run].Took + ((loop.Now - _quickest[run].At) * (2 * MachineClock.LargestDrift));

    /// <summary>The hub said that it holds a journal up to a place.</summary>
    private void Held(JournalId journal, long place)
    {
        var before = Acknowledged.GetValueOrDefault(journal);
        if (place <= before)
        {
            return;
        }

        Acknowledged[journal] = place;
        if (_reported.Any(report => report.Key.Item1 == journal && report.Key.Item2 > before && report.Key.Item2 <= place && report.Value.Report is StopPressed or ConsentTakenBackHere))
        {
            _silence.StopHeld();
        }
    }

    private string Step(StepId stepId) => trace.Name("step", stepId.Value);

    private string Words(KitReport report) => report switch
    {
        StepStarted started => $"{Step(started.StepId)} started",
        TrialDone done => $"{Step(done.StepId)} trial {done.Trial.Number} {done.Trial.Kind} {done.Trial.LevelDbHl} {done.Trial.Verdict}",
        StepEnded ended => $"{Step(ended.StepId)} ended {ended.Ending} {ended.Code}",
        _ => report.GetType().Name,
    };

    /// <summary>What a signed message says. Signatures are the programs' affair.</summary>
    private static T? Read<T>(string compact)
        where T : class => JsonSerializer.Deserialize<T>(Base64Url.DecodeFromChars(compact.Split('.')[1]), Protocol.Json);
}
