using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;
using TeleHearing.Links;

namespace TeleHearing.Hub.Kits;

/// <summary>A kit says hello on a new connection.</summary>
internal sealed record GreetKit(KitHello Hello, Caller Caller, string ConnectionId, Action Abort) : IHubRequest<KitWelcome>, IValidated
{
    /// <summary>When the connection was last heard; absent on one without seals.</summary>
    public LinkHeard? Heard { get; init; }

    public int? ProtocolVersion => Hello.ProtocolVersion;

    public IReadOnlyList<string> Faults()
    {
        var faults = new Faults();
        faults.Line(Hello.AgentVersion, "the agent's version");
        faults.Need(Hello.JournalId.Value != Guid.Empty, "The journal has no id.");
        faults.Need(Hello.LastSequence >= 0, "The last sequence is below zero.");
        faults.Need(Hello.OrdersSeen is not null, "The list of orders seen is missing.");
        return Hello.Gear is null ? faults.All : [.. faults.All, .. KitCommandValidator.Faults(Hello.Gear)];
    }

    public KitWelcome Refused(Refusal refusal) => new(refusal, 0, null, null, null);

    public string Trace() => "hello of a kit";
}

/// <summary>Takes the connection as the kit's, settles what was cut in flight, and says where the session stands.</summary>
internal sealed partial class GreetKitHandler : IRequestHandler<GreetKit, KitWelcome>
{
    private readonly PresenceGate _gate;
    private readonly KitLinks _links;
    private readonly SharedKits _shared;
    private readonly KitFleet _fleet;
    private readonly KitSessions _sessions;
    private readonly JournalKeys _keys;
    private readonly KitChallenges _challenges;
    private readonly HubKey _hubKey;
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly CommitFollower _follower;
    private readonly Broadcaster _broadcaster;
    private readonly HubClock _clock;
    private readonly KitFacts _facts;
    private readonly HeadExchange _heads;
    private readonly ILogger<GreetKitHandler> _log;

    public GreetKitHandler(
        PresenceGate gate,
        KitLinks links,
        SharedKits shared,
        KitFleet fleet,
        KitSessions sessions,
        JournalKeys keys,
        KitChallenges challenges,
        HubKey hubKey,
        SessionStore store,
        SessionRunner runner,
        CommitFollower follower,
        Broadcaster broadcaster,
        HubClock clock,
        KitFacts facts,
        HeadExchange heads,
        ILogger<GreetKitHandler> log)
    {
        _gate = gate;
        _links = links;
        _shared = shared;
        _fleet = fleet;
        _sessions = sessions;
        _keys = keys;
        _challenges = challenges;
        _hubKey = hubKey;
        _store = store;
        _runner = runner;
        _follower = follower;
        _broadcaster = broadcaster;
        _clock = clock;
        _facts = facts;
        _heads = heads;
        _log = log;
    }

    public Task<KitWelcome> Handle(GreetKit request, CancellationToken cancellationToken)
    {
        var kitId = ((KitCaller)request.Caller).KitId;
        return _gate.Alone(kitId, () => Greet(kitId, request, cancellationToken), cancellationToken);
    }

    private async Task<KitWelcome> Greet(KitId kitId, GreetKit request, CancellationToken cancellationToken)
    {
        // The right was proven when the connection was made; it may have been taken away since.
        var link = _challenges.Take(request.ConnectionId);
        if (await _fleet.FindPublicKey(kitId, cancellationToken) is not { } pem)
        {
            return request.Refused(new Refusal(RefusalCodes.KitRevoked, "The clinic revoked this kit.", "Enrol the kit anew."));
        }

        var binding = new KitBinding(pem, link ?? string.Empty);
        if (link is null || binding.Open<KitHelloProof>(KitJws.Hello, request.Hello.Proof) != new KitHelloProof(kitId, link, request.Hello.JournalId))
        {
            binding.Dispose();
            return request.Refused(new Refusal(RefusalCodes.KitNotProven, "The kit did not show on this connection that it holds its key.", "Link anew; if it comes back, enrol the kit anew."));
        }

        var key = await _keys.Of(kitId, request.Hello.JournalId, cancellationToken);
        if (key is null)
        {
            binding.Dispose();
            return request.Refused(new Refusal(RefusalCodes.KitUnknown, "This journal belongs to another kit.", "Enrol the kit anew."));
        }

        binding.Rest();
        await _heads.Look(kitId, request.Hello.HeldHeads, cancellationToken);
        _links.Connect(kitId, request.ConnectionId, binding, request.Abort, request.Heard);
        await _shared.Take(kitId, request.ConnectionId, cancellationToken);
        var duty = await Settle(kitId, request.Hello, cancellationToken);
        _links.Owe(kitId, duty);
        _links.Open(kitId, request.ConnectionId);
        await _fleet.Seen(kitId, request.Hello.AgentVersion, cancellationToken);
        if (request.Hello.Gear is { } gear)
        {
            await _facts.Alone(() => _runner.Run(token => TakeGear(kitId, gear, token), _ => Task.FromResult(true), cancellationToken), cancellationToken);
        }

        if (!duty.Open && await _facts.Load(kitId, cancellationToken) is { } kit)
        {
            var givenUp = Wipes.LaidAside.GivenUp(kit.State);
            if (kit.State.Unwiped.Count > 0 || givenUp || request.Hello.LastSequence > 0)
            {
                // A journal that is not empty holds what came after the last wipe, as a stop pressed when the session was over.
                _links.AskToWipe(kitId, kit.State.Unwiped, givenUp);
            }

            if (kit is { Integrity.Valid: true, State: { LoanInHand: null, InSession: null, Unwiped.Count: 0 } })
            {
                // In no session, on no loan, everything wiped: nobody needs what an older journal held, so nobody can be given its key.
                await _keys.Forget(kitId, but: request.Hello.JournalId, cancellationToken);
            }
        }

        _broadcaster.KitChanged(kitId);
        Log.Greeted(_log, kitId, request.Hello.AgentVersion);
        return new KitWelcome(null, await _store.FindCursor(request.Hello.JournalId, cancellationToken), key, duty.Scene, _clock.NextLease(soundMayBeOn: false))
        {
            Proof = _hubKey.Sign(KitJws.Welcome, new KitWelcomeProof(kitId, link)),
            Heads = await _heads.Newest(duty.SessionId, cancellationToken),
        };
    }

    private async Task<Attempt<bool>> TakeGear(KitId kitId, KitGear gear, CancellationToken cancellationToken)
    {
        // What was changed from outside is only read; the kit is served all the same, and its page says why nothing is added.
        if (await _facts.Load(kitId, cancellationToken) is not { Integrity.Valid: true } loaded
            || KitDecider.Reported(loaded.State, gear, await _facts.Context(kitId, cancellationToken)) is not { Count: > 0 } facts)
        {
            return new Attempt<bool>(null, true);
        }

        return new Attempt<bool>(new AppendBatch([], null, null, _ => _broadcaster.KitChanged(kitId)) { KitFacts = [new KitFactAppend(loaded, facts)] }, true);
    }

    private async Task<KitDuty> Settle(KitId kitId, KitHello hello, CancellationToken cancellationToken)
    {
        if (await _sessions.FindOpen(kitId, cancellationToken) is not { } sessionId)
        {
            return KitDuty.None;
        }

        await _runner.Run(token => Decide(sessionId, hello, token), _ => Task.FromResult(true), cancellationToken);
        var loaded = await _store.Load(sessionId, cancellationToken);
        return loaded is null ? KitDuty.None : KitDuty.Of(loaded.State);
    }

    private async Task<Attempt<bool>> Decide(SessionId sessionId, KitHello hello, CancellationToken cancellationToken)
    {
        var loaded = await _store.Load(sessionId, cancellationToken);
        if (loaded is not { Integrity.Valid: true })
        {
            return new Attempt<bool>(null, false);
        }

        var events = LinkDecider.Greeted(loaded.State, hello, await _runner.Facts(loaded, cancellationToken));
        return events.Count == 0
            ? new Attempt<bool>(null, true)
            : new Attempt<bool>(new AppendBatch([new SessionAppend(loaded, events)], null, null, after => _follower.Follow(after, Cuts(events))), true);
    }

    /// <summary>An order that was under way while the kit said hello may still arrive, or wait in the kit: the step is over here, so it is cut there.</summary>
    private static IReadOnlyList<KitEffect> Cuts(IReadOnlyList<SessionEvent> events) => [.. events.OfType<StepOver>().Select(over => new EndStep(over.StepId))];

    private static partial class Log
    {
        [LoggerMessage(EventId = 2101, Level = LogLevel.Information, Message = "Kit {KitId} is connected, agent {AgentVersion}")]
        public static partial void Greeted(ILogger logger, KitId kitId, string agentVersion);
    }
}
