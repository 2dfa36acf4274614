using System.Buffers.Text;
using System.Security.Cryptography;
using System.Threading.Channels;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Ceilings;
using TeleHearing.Site.Agent.Devices;
using TeleHearing.Site.Agent.Hosting;
using TeleHearing.Site.Agent.Journal;
using TeleHearing.Site.Agent.Screen;
using TeleHearing.Site.Agent.Steps;

namespace TeleHearing.Site.Agent.Link;

/// <summary>Keeps the kit linked to its hub: connects without end, says hello, passes on what comes, and hands over what the journal holds.</summary>
/// <remarks>
/// Handlers of the connection only enqueue, because a client runs them one after another; cut and lease act at once. One loop connects; while a
/// connection stands, a second one sends reports. Losing the connection means silence, before anything else.
/// </remarks>
internal sealed partial class HubLink(
    IHubConnector connector,
    LeaseClock lease,
    KitJournal journal,
    FactWriter facts,
    Gear gear,
    OrderLedger ledger,
    HeldHeads heads,
    CurrentStep current,
    OrderQueue orders,
    StopSwitch stop,
    KitScreenState screen,
    LiveSignals signals,
    FatalFaults fatal,
    TimeProvider time,
    ILogger<HubLink> logger) : BackgroundService
{
    /// <summary>How long to wait after a refusal before asking again.</summary>
    private static readonly TimeSpan _afterRefusal = TimeSpan.FromSeconds(5);

    /// <summary>A connection that held this long was a good one: after it, the first new try is at once.</summary>
    private static readonly TimeSpan _lasting = TimeSpan.FromSeconds(2);

    /// <summary>Random bytes of the kit's half of a link's name.</summary>
    private const int NonceBytes = 32;

    private readonly OutageNotices _notices = new(time);

    protected override async Task ExecuteAsync(CancellationToken stoppingToken)
    {
        try
        {
            await connector.PrepareAsync(stoppingToken);
        }
        catch (FatalFaultException fault)
        {
            fatal.Report(fault);
            return;
        }

        var backoff = new Backoff();
        while (!stoppingToken.IsCancellationRequested)
        {
            await Task.Delay(backoff.Next(), time, stoppingToken);
            var began = time.GetTimestamp();
            var outcome = await OneConnectionAsync(stoppingToken);
            if (outcome == Outcome.Refused)
            {
                await Task.Delay(_afterRefusal, time, stoppingToken);
            }
            else if (outcome == Outcome.Served && time.GetElapsedTime(began) >= _lasting)
            {
                backoff.Reset();
            }
        }
    }

    private async Task<Outcome> OneConnectionAsync(CancellationToken stopping)
    {
        using var closed = CancellationTokenSource.CreateLinkedTokenSource(stopping);
        await using var connection = connector.Make();
        var over = false;
        connection.Closed += _ =>
        {
            // told late, it must not silence the next connection
            if (!Volatile.Read(ref over))
            {
                LoseLink();
                closed.Cancel();
            }

            return Task.CompletedTask;
        };
        var gate = new WelcomeGate();
        var name = new LinkName();
        var toWipe = Channel.CreateUnbounded<WipeOrder>();
        Listen(connection, gate, name, closed);
        connection.On<WipeOrder>(nameof(IKitClient.Wipe), order => gate.Pass(() => toWipe.Writer.TryWrite(order)));
        try
        {
            await connection.StartAsync(stopping);
            var askedAtMs = lease.KitNowMs;
            name.Value = await NameAsync(connection, closed.Token);
            var hello = new KitHello(Protocol.Version, connector.AgentVersion, journal.JournalId, journal.LastSequence, current.Now?.Order.StepId, ledger.OrdersSeen)
            {
                Gear = gear.Told(),
                HeldHeads = heads.Now,
                Proof = connector.Credential!.Sign(KitJws.Hello, new KitHelloProof(connector.Credential.Who.KitId, name.Value, journal.JournalId)),
            };
            var welcome = await connection.InvokeAsync<KitWelcome>(nameof(IKitHub.Hello), hello, closed.Token);
            if (!TakeWelcome(welcome, name.Value, askedAtMs))
            {
                return screen.Now.Link == LinkState.Refused ? Outcome.Refused : Outcome.Served;
            }

            gate.Open();
            await Task.WhenAll(SendReportsAsync(connection, closed), SendSignalsAsync(connection, closed.Token), WipeAsync(connection, toWipe.Reader, closed));
            return Outcome.Served;
        }
        catch (OperationCanceledException)
        {
            // how most links end: the connection closed, and nothing failed on this side
            if (gate.IsOpen && !stopping.IsCancellationRequested && _notices.IsDue())
            {
                Log.LinkEnded(logger, connector.Hub);
            }

            return Outcome.Served;
        }
        catch (KitNotServedException fault)
        {
            Log.Refused(logger, fault.Code ?? string.Empty, fault.Message);
            if (fault.Code == RefusalCodes.KitRevoked)
            {
                journal.Forget();
            }

            screen.SetLink(LinkState.Refused, fault.Message);
            return Outcome.Refused;
        }
        catch (Exception fault) when (!stopping.IsCancellationRequested)
        {
            // whatever went wrong with a connection, the answer is the same: silence, and a new one
            if (_notices.IsDue())
            {
                Log.ConnectionFailed(logger, fault.GetType().Name, fault.Message);
            }

            return Outcome.Failed;
        }
        finally
        {
            Volatile.Write(ref over, true);
            LoseLink();
        }
    }

    private void Listen(IKitConnection connection, WelcomeGate gate, LinkName name, CancellationTokenSource closed)
    {
        connection.On<SignedOrder>(nameof(IKitClient.Carry), signed => gate.Pass(() => TakeOrder(signed, name.Value)));
        connection.On<StepId>(nameof(IKitClient.Cut), current.Cut);
        connection.On<LeaseGrant>(nameof(IKitClient.RenewLease), grant =>
        {
            // a revoked kit still hears what was on its way, and may take no lease from it
            if (!closed.IsCancellationRequested && !lease.Take(grant) && gate.IsOpen)
            {
                // this machine slept since the last hello: only a fresh hello can say what the time is
                closed.Cancel();
            }
        });
        connection.On<KitScene>(nameof(IKitClient.ShowScene), scene => gate.Pass(() => TakeScene(scene)));
        connection.On<string>(nameof(IKitClient.Revoked), reason =>
        {
            Log.Revoked(logger, reason);
            LoseLink();
            journal.Forget();
            screen.SetLink(LinkState.Refused, "This kit may no longer be used. Please call your clinic.");
            closed.Cancel();
        });
    }

    /// <summary>The link's name: a fresh number of either side. What is signed for this link fits no other.</summary>
    private static async Task<string> NameAsync(IKitConnection connection, CancellationToken cancellationToken)
    {
        var nonce = Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(NonceBytes));
        return (await connection.InvokeAsync<KitChallenge>(nameof(IKitHub.Challenge), nonce, cancellationToken)).LinkWith(nonce);
    }

    /// <summary>Only an order this kit's own hub signed for this kit, its key and this link is carried out. Cut, stop and silence need no signature.</summary>
    private void TakeOrder(SignedOrder signed, string link)
    {
        if (connector.Credential!.Open(signed, link) is { } order)
        {
            orders.Add(order);
            return;
        }

        // nothing of it can be believed, not even which step it is about: there is nothing to report an end of
        Log.OrderNotSigned(logger);
    }

    private void TakeScene(KitScene scene)
    {
        ShowScene(scene);
        stop.TakeScene(scene);
    }

    /// <summary>What a scene says holds before it is looked for a step that it ends: an order looked at in the same moment is refused, or found running and cut.</summary>
    private void ShowScene(KitScene scene)
    {
        LearnEpoch(scene);
        screen.SetScene(scene);
        if (current.Now?.Order is { } running && (running.SessionId != scene.SessionId || running.ControlEpoch < scene.ControlEpoch))
        {
            current.Cut(running.StepId);
        }
    }

    /// <summary>Whoever commanded before commands no more: their orders are refused from here on.</summary>
    private void LearnEpoch(KitScene scene)
    {
        if (scene is not { SessionId: { } session, ControlEpoch: { } epoch })
        {
            return;
        }

        try
        {
            ledger.Raise(session, epoch);
        }
        catch (StorageFaultException fault)
        {
            // a disk that takes nothing lets no step begin either
            Log.EpochNotKept(logger, fault);
        }
    }

    /// <summary>Whether the kit is served on this connection.</summary>
    private bool TakeWelcome(KitWelcome welcome, string link, double askedAtMs)
    {
        if (welcome.Refusal is { } refusal)
        {
            Log.Refused(logger, refusal.Code, refusal.Sentence);
            screen.SetLink(LinkState.Refused, refusal.Sentence);
            return false;
        }

        if (!connector.Credential!.IsOfHub(welcome, link))
        {
            Log.Refused(logger, RefusalCodes.KitNotProven, "The hub did not show that it is the one this kit was enrolled with.");
            screen.SetLink(LinkState.Refused, "This kit was enrolled with another hub, so it takes no orders from this one. Please call your clinic: it has to be enrolled anew.");
            return false;
        }

        var key = Convert.FromBase64String(welcome.JournalKeyBase64 ?? throw new InvalidDataException("The hub gave no journal key."));
        // The disk was put back to an older state, or the hub was, or it was sealed for another hub: under this id facts would be missing for good.
        var unlike = welcome.AcknowledgedSequence > journal.LastSequence || welcome.AcknowledgedSequence < journal.AcknowledgedSequence;
        if (unlike || (!journal.IsOpen && journal.Unlock(key) == UnlockOutcome.WrongKey))
        {
            facts.OweAgain(journal.SetAside());
            stop.TakeNewJournal();
            return false;
        }

        if (welcome.Lease is { } grant)
        {
            lease.TakeAnswer(grant, askedAtMs);
        }

        facts.TrySettle();
        EndWhatARestartBrokeOff();
        stop.TakeWelcome(welcome.Scene, welcome.AcknowledgedSequence);
        journal.Acknowledge(welcome.AcknowledgedSequence);
        if (welcome.Scene is { } scene)
        {
            ShowScene(scene);
        }

        heads.Take(welcome.Heads);
        screen.SetLink(LinkState.Linked);
        _notices.Reset();
        Log.Linked(logger, connector.Hub);
        connector.TellLinked();
        return true;
    }

    /// <summary>A step accepted before a power cut and never ended is reported as interrupted; it is never carried out again.</summary>
    private void EndWhatARestartBrokeOff()
    {
        // an end that is owed to the disk is the true one
        if (ledger.Unfinished is not { } open || current.Now is not null || orders.IsBusy || facts.Owes)
        {
            return;
        }

        if (journal.Pending(int.MaxValue).Any(entry => entry.Report is StepEnded ended && ended.StepId == open.StepId))
        {
            ledger.End(open.StepId);
            return;
        }

        facts.WriteOrOwe(open.SessionId, StepConclusion.Restarted.ToReport(open.StepId), () => ledger.End(open.StepId));
    }

    private void LoseLink()
    {
        lease.Withdraw();
        current.BreakSound(StepConclusion.LinkLost);
        if (screen.Now.Link == LinkState.Linked)
        {
            screen.SetLink(LinkState.Away);
        }
    }

    /// <summary>Name of one connection, known once the hub has given its half; before that no order fits.</summary>
    private sealed class LinkName
    {
        public string Value { get; set; } = string.Empty;
    }

    private enum Outcome
    {
        Served,
        Refused,
        Failed,
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2211, Level = LogLevel.Information, Message = "Linked to {Hub}.")]
        public static partial void Linked(ILogger logger, Uri hub);

        [LoggerMessage(EventId = 2217, Level = LogLevel.Warning, Message = "The link to {Hub} ended; linking again.")]
        public static partial void LinkEnded(ILogger logger, Uri hub);

        [LoggerMessage(EventId = 2212, Level = LogLevel.Warning, Message = "No link to the hub ({Fault}: {Detail}); trying again.")]
        public static partial void ConnectionFailed(ILogger logger, string fault, string detail);

        [LoggerMessage(EventId = 2213, Level = LogLevel.Error, Message = "The hub does not serve this kit: {Code} {Sentence}")]
        public static partial void Refused(ILogger logger, string code, string sentence);

        [LoggerMessage(EventId = 2214, Level = LogLevel.Error, Message = "The kit's credential is revoked: {Reason}")]
        public static partial void Revoked(ILogger logger, string reason);

        [LoggerMessage(EventId = 2218, Level = LogLevel.Error, Message = "An order came that this kit's hub did not sign for this kit and this link. Nothing of it was done.")]
        public static partial void OrderNotSigned(ILogger logger);

        [LoggerMessage(EventId = 2219, Level = LogLevel.Information, Message = "The hub holds the attestation that nothing of {Count} sessions is left here.")]
        public static partial void Attested(ILogger logger, int count);

        [LoggerMessage(EventId = 2220, Level = LogLevel.Error, Message = "The disk did not let the journal be wiped; it is tried again.")]
        public static partial void NotWiped(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2215, Level = LogLevel.Error, Message = "The hub refused report {Sequence} for good: {Code} {Sentence}")]
        public static partial void ReportRefused(ILogger logger, long sequence, string code, string sentence);

        [LoggerMessage(EventId = 2228, Level = LogLevel.Error, Message = "The disk did not take the new epoch of control.")]
        public static partial void EpochNotKept(ILogger logger, Exception fault);

        [LoggerMessage(EventId = 2216, Level = LogLevel.Error, Message = "The disk did not take an acknowledgement; what it was for will be sent again.")]
        public static partial void AcknowledgementNotKept(ILogger logger, Exception fault);
    }
}
