using System.Security.Cryptography;
using System.Text.Json;
using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Protocols;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Start;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>A clinician's command.</summary>
internal sealed record AskCommand(CommandEnvelope Envelope, Caller Caller) : IHubRequest<Receipt>, IValidated, IAboutSession, IOnce<Receipt>
{
    // A console may send nothing at all in place of a command.
    public CommandId CommandId => Envelope?.CommandId ?? default;

    public int? ProtocolVersion => Envelope?.ProtocolVersion;

    public IReadOnlyList<string> About => Envelope is null ? [] : [$"session {Envelope.SessionId}"];

    public string Door => Envelope?.Command is { } command ? Rights.Door.Command(command.GetType()) : Rights.Door.Request<AskCommand>();

    public IReadOnlyList<string> Faults() => CommandValidator.Faults(Envelope);

    public Receipt Refused(Refusal refusal) => new(CommandId, refusal, 0, null);

    public Receipt Answered(Receipt receipt) => receipt;

    public byte[] Fingerprint() => SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(
        new { Caller = ((PersonCaller)Caller).Id, Envelope.SessionId, Envelope.Command },
        Protocol.Json));

    public string Trace() => $"{Envelope?.Command?.GetType().Name ?? "command"} {CommandId} of session {Envelope?.SessionId}";
}

/// <summary>Decides a command on the newest state and makes its events durable with its receipt.</summary>
internal sealed class AskCommandHandler : IRequestHandler<AskCommand, Receipt>
{
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly CommitFollower _follower;
    private readonly HubClock _clock;
    private readonly HubSettings _settings;
    private readonly ProtocolShelf _protocols;
    private readonly ConsentTexts _texts;
    private readonly KitUse _kitUse;
    private readonly Broadcaster _broadcaster;
    private readonly ControlLeases _leases;
    private readonly Colleagues _colleagues;
    private readonly KitLinks _links;
    private readonly SilenceFirst _silence;
    private readonly CardReader _cards;
    private readonly StepSeeds _seeds;

    public AskCommandHandler(SessionStore store, SessionRunner runner, CommitFollower follower, HubClock clock, HubSettings settings, ProtocolShelf protocols, ConsentTexts texts, KitUse kitUse, Broadcaster broadcaster, ControlLeases leases, Colleagues colleagues, CardReader cards, StepSeeds seeds, KitLinks links, SilenceFirst silence)
    {
        (_leases, _colleagues, _cards, _seeds, _links, _silence) = (leases, colleagues, cards, seeds, links, silence);
        _kitUse = kitUse;
        _broadcaster = broadcaster;
        _protocols = protocols;
        _texts = texts;
        _store = store;
        _runner = runner;
        _follower = follower;
        _clock = clock;
        _settings = settings;
    }

    public async Task<Receipt> Handle(AskCommand request, CancellationToken cancellationToken)
    {
        // Whoever asks is there; and afterwards it may be theirs.
        var caller = (PersonCaller)request.Caller;
        _leases.Renew(request.Envelope.SessionId, caller);
        var told = false;
        try
        {
            var receipt = await _runner.Run(
                token => Decide(request, () => told = true, token),
                async token => (await _store.FindReceipt(request.CommandId, token))?.Receipt ?? throw new IOException("A receipt that was there is gone."),
                cancellationToken);
            _leases.Renew(request.Envelope.SessionId, caller);

            // Refused after all, by a damaged log or a lost race: silence is not taken back.
            return told && receipt.Refusal is { } refusal ? receipt with { Refusal = SilenceFirst.AfterSilence(refusal) } : receipt;
        }
        catch (Exception fault) when (told && StoreFaults.Is(fault))
        {
            // It was permitted, and the kit is silent; only the record lacks it.
            throw _silence.Unrecorded(request.Envelope, caller, fault, toldBefore: true);
        }
    }

    private async Task<Attempt<Receipt>> Decide(AskCommand request, Action told, CancellationToken cancellationToken)
    {
        var envelope = request.Envelope;
        var loaded = await _store.Load(envelope.SessionId, cancellationToken);
        if (loaded is null)
        {
            return Refused(request, Refusals.UnknownSession, 0);
        }

        if (!loaded.Integrity.Valid)
        {
            // What it says of who commands cannot be believed, and nothing is added to it; but it does not keep sound on.
            if (_silence.May(envelope, (PersonCaller)request.Caller) && _silence.Tell(envelope.SessionId))
            {
                told();
            }

            return Refused(request, Refusals.Damaged(loaded.Integrity.BrokenAtSequence), loaded.State.Version);
        }

        if (loaded.State.Erased)
        {
            return Refused(request, Refusals.Erased, loaded.State.Version);
        }

        var facts = await _runner.Facts(loaded, cancellationToken);
        var context = new DecisionContext(facts, _clock.RunningMs, _settings.CommandLife, StepId.New(), _seeds.Next())
        {
            SharedNow = _settings.IsShared ? _clock.SharedNow : null,
            Protocol = envelope.Command is ChooseProtocol choice ? await _protocols.Find(choice.ProtocolId, choice.Version, cancellationToken) : null,
            Named = Names(envelope.Command, loaded.State) is { } personId ? await _colleagues.Find(personId, cancellationToken) : null,
            NotSignedOff = await _colleagues.NotSignedOff(envelope.Command, loaded.State, cancellationToken),
            ConsentTexts = envelope.Command is AnswerConsent or AskConsentOnScreen ? [.. (await _texts.All(cancellationToken)).Select(kept => kept.Text)] : [],
            Card = envelope.Command is ConfirmIdentity confirm ? await _cards.Facts(loaded.Plan.Person, ((PersonCaller)request.Caller).Id, confirm.Card.Jurisdiction, cancellationToken) : CardFacts.Nothing,
        };
        var decision = SessionDecider.Decide(loaded.State, envelope, (PersonCaller)request.Caller, context);
        if (decision is Refused refused)
        {
            return Refused(request, refused.Refusal, loaded.State.Version);
        }

        var decided = (Decided)decision;
        var caller = (PersonCaller)request.Caller;
        var kit = await _kitUse.Of(loaded, decided.Events, new Actor(caller.Id, caller.Name), cancellationToken);
        if (kit.Refusal is { } unfit)
        {
            return Refused(request, unfit, loaded.State.Version);
        }

        // Silence does not wait for the disk: the kit hears it now, and again with what follows the commit.
        if (_links.Silence(loaded.State.KitId, decided.Effects))
        {
            told();
        }

        var receipt = new Receipt(envelope.CommandId, null, loaded.State.Version + decided.Events.Count, decided.StepId);
        var batch = new AppendBatch(
            [new SessionAppend(loaded, decided.Events)],
            new ReceiptToKeep(receipt, envelope.SessionId, request.Fingerprint()),
            null,
            after => Follow(after, decided, kit.Appends))
        {
            KitFacts = kit.Appends,
            Ahead = decided.Effects.Any(effect => effect is EndStep),
        };
        return new Attempt<Receipt>(batch, receipt);
    }

    /// <summary>Account id of the person a command names, or is about.</summary>
    private static string? Names(SessionCommand command, SessionState state) => command switch
    {
        GrantControl grant => grant.ToPersonId,
        AcknowledgeHandoff => state.OpenHandoff?.PersonId,
        OfferControl offer => offer.ToPersonId,
        LendControl lend => lend.ToPersonId,
        RecordHandoff handoff => handoff.Owner?.PersonId,
        _ => null,
    };

    private void Follow(IReadOnlyList<SessionState> after, Decided decided, IReadOnlyList<KitFactAppend> kits)
    {
        _follower.Follow(after, decided.Effects);
        foreach (var kit in kits)
        {
            _broadcaster.KitChanged(kit.Loaded.State.KitId);
        }
    }

    private static Attempt<Receipt> Refused(AskCommand request, Refusal refusal, long version) =>
        new(null, request.Refused(refusal) with { SessionVersion = version });
}
