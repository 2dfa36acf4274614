using System.Security.Cryptography;
using System.Text.Json;
using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Incidents;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Something to record about a kit.</summary>
internal sealed record AskKitCommand(KitCommandEnvelope Envelope, Caller Caller) : IHubRequest<Receipt>, IValidated, IOnce<Receipt>
{
    // A console may send nothing at all in place of a command.
    public CommandId CommandId => Envelope?.CommandId ?? default;

    public int? ProtocolVersion => Envelope?.ProtocolVersion;

    public IReadOnlyList<string> About => Envelope is null ? [] : [$"kit {Envelope.KitId}"];

    public string Door => Envelope?.Command is { } command ? KitDoors.Of(command) : Rights.Door.Request<AskKitCommand>();

    public IReadOnlyList<string> Faults() => KitCommandValidator.Faults(Envelope);

    public Receipt Refused(Refusal refusal) => new(CommandId, refusal, 0, null);

    public Receipt Answered(Receipt receipt) => receipt;

    public byte[] Fingerprint() => SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(
        new { Caller = ((PersonCaller)Caller).Id, Envelope.KitId, Envelope.Command },
        Protocol.Json));

    public string Trace() => $"{Envelope?.Command?.GetType().Name ?? "command"} {CommandId} of kit {Envelope?.KitId}";
}

/// <summary>Decides on the newest facts and makes the new ones durable with the receipt.</summary>
internal sealed class AskKitCommandHandler : IRequestHandler<AskKitCommand, Receipt>
{
    private readonly KitFacts _facts;
    private readonly FleetFacts _fleet;
    private readonly KnownEarSource _measured;
    private readonly NamedThings _named;
    private readonly ConsentTexts _texts;
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly Broadcaster _broadcaster;
    private readonly TimeProvider _time;
    private readonly KitLinks _links;
    private readonly PresenceGate _gate;

    public AskKitCommandHandler(
        KitFacts facts,
        FleetFacts fleet,
        KnownEarSource measured,
        NamedThings named,
        ConsentTexts texts,
        SessionStore store,
        SessionRunner runner,
        Broadcaster broadcaster,
        TimeProvider time,
        KitLinks links,
        PresenceGate gate)
    {
        _links = links;
        _gate = gate;
        _facts = facts;
        _fleet = fleet;
        _measured = measured;
        _named = named;
        _texts = texts;
        _store = store;
        _runner = runner;
        _broadcaster = broadcaster;
        _time = time;
    }

    public Task<Receipt> Handle(AskKitCommand request, CancellationToken cancellationToken) => request.Envelope.Command is ReportKitGone or ReleaseKit or PackKit
        // They may take the kit's key away. Not beside a greeting of the same kit: it would find the right still there and the link not yet.
        ? _gate.Alone(request.Envelope.KitId, () => DecideAlone(request, cancellationToken), cancellationToken)
        : DecideAlone(request, cancellationToken);

    private Task<Receipt> DecideAlone(AskKitCommand request, CancellationToken cancellationToken) => _facts.Alone(
        () => _runner.Run(
            token => Decide(request, token),
            async token => (await _store.FindReceipt(request.CommandId, token))?.Receipt ?? throw new IOException("A receipt that was there is gone."),
            cancellationToken),
        cancellationToken);

    private async Task<Attempt<Receipt>> Decide(AskKitCommand request, CancellationToken cancellationToken)
    {
        var envelope = request.Envelope;
        if (await _facts.Load(envelope.KitId, cancellationToken) is not { } loaded)
        {
            return Refused(request, KitRefusals.Unknown, 0);
        }

        if (!loaded.Integrity.Valid && envelope.Command is not ReportKitGone)
        {
            return Refused(request, KitRefusals.Damaged(loaded.Integrity.BrokenAtSequence), loaded.State.Version);
        }

        if (_time.GetUtcNow() > envelope.ExpiresAt)
        {
            return Refused(request, new Refusal(RefusalCodes.Expired, "This came too late and was not carried out.", "Look at the page as it is now, then ask again."), loaded.State.Version);
        }

        var caller = (PersonCaller)request.Caller;
        if (!loaded.Integrity.Valid && envelope.Command is ReportKitGone report)
        {
            return await GoneWithoutFact(request, loaded, report, new Actor(caller.Id, caller.Name), cancellationToken);
        }

        if (await _named.Unknown(envelope.KitId, envelope.Command, cancellationToken) is { } unknown)
        {
            return Refused(request, unknown, loaded.State.Version);
        }

        var measured = await _measured.Fill(envelope.KitId, envelope.Command, cancellationToken);
        if (measured.Refusal is { } unusable)
        {
            return Refused(request, unusable, loaded.State.Version);
        }

        var decision = KitDecider.Decide(loaded.State, measured.Command, new Actor(caller.Id, caller.Name), await _facts.Context(envelope.KitId, cancellationToken) with
        {
            CaresForKits = RightsTable.CaresForKits(caller),
            ConsentTexts = measured.Command is SignLoanPaper ? [.. (await _texts.All(cancellationToken)).Select(kept => kept.Text).Where(text => text.Purpose == ConsentPurpose.Loan)] : [],
        });
        if (decision.Refusal is { } refusal)
        {
            return Refused(request, refusal, loaded.State.Version);
        }

        if (envelope.Command is SendKit send && await NeededFirst(loaded.State, send, cancellationToken) is { } needed)
        {
            return Refused(request, needed, loaded.State.Version);
        }

        var receipt = new Receipt(envelope.CommandId, null, loaded.State.Version + decision.Facts.Count, null);
        var gone = decision.Facts.OfType<KitGone>().FirstOrDefault();
        var batch = new AppendBatch([], new ReceiptToKeep(receipt, default, request.Fingerprint()), null, _ => Tell(envelope.KitId, gone, KeyLoans.Retire(loaded.KeyLoan, decision.Facts)))
        {
            KitsToRevoke = gone is null ? [] : [envelope.KitId],
            KitFacts = [new KitFactAppend(loaded, decision.Facts)],
            FleetFacts = await FollowUps(loaded, decision.Facts, new Actor(caller.Id, caller.Name), cancellationToken),
        };
        return new Attempt<Receipt>(batch, receipt);
    }

    /// <summary>A planned session that would be left without the kit; absent when there is none.</summary>
    private async Task<Refusal?> NeededFirst(KitState kit, SendKit send, CancellationToken cancellationToken)
    {
        var fleet = (await _fleet.Load(cancellationToken)).State;
        return HandOver.WhyNot(kit, send, fleet, await _fleet.PlannedSessions(cancellationToken), ClinicDay.Of(fleet, _time.GetUtcNow()));
    }

    /// <summary>A kit whose facts were changed from outside is gone: nothing is added to them, and what its report is for is done all the same. A stranger must not link with it.</summary>
    /// <remarks>The receipt is a refusal, for the kit's page goes on saying what it said; its words say what was done.</remarks>
    private async Task<Attempt<Receipt>> GoneWithoutFact(AskKitCommand request, LoadedKit loaded, ReportKitGone report, Actor by, CancellationToken cancellationToken)
    {
        var kitId = request.Envelope.KitId;
        var gone = new KitGone(report.Stolen, report.Circumstances.Trim(), report.MayHoldData, by);
        var incident = await FollowUps(loaded, [gone], by, cancellationToken);
        var receipt = request.Refused(KitRefusals.GoneWithoutFact(loaded.Integrity.BrokenAtSequence, incident is not null)) with { SessionVersion = loaded.State.Version };
        return new Attempt<Receipt>(
            new AppendBatch([], new ReceiptToKeep(receipt, default, request.Fingerprint()), null, _ => Tell(kitId, gone, retired: false)) { KitsToRevoke = [kitId], FleetFacts = incident },
            receipt);
    }

    private void Tell(KitId kitId, KitGone? gone, bool retired)
    {
        _broadcaster.KitChanged(kitId);
        if (retired)
        {
            _links.Revoke(kitId, "The loan is over, and its key with it. The kit is enrolled anew before it is used again.");
        }

        if (gone is not null)
        {
            _links.Revoke(kitId, gone.Stolen ? "The kit was reported stolen." : "The kit was reported lost.");
            _broadcaster.FleetChanged();
        }
    }

    /// <summary>What it leads to in the fleet's log, in the same act.</summary>
    private async Task<FleetFactAppend?> FollowUps(LoadedKit loaded, IReadOnlyList<KitFact> facts, Actor by, CancellationToken cancellationToken)
    {
        if (!FleetFollowUps.Concern(facts))
        {
            return null;
        }

        var fleet = await _fleet.Verify(cancellationToken);

        // Nothing is added to a log that was changed from outside. The kit's own facts are recorded all the same: a lost kit loses its right whatever became of that log.
        return fleet.Integrity.Valid
            ? new FleetFactAppend(fleet, FleetFollowUps.Of(FleetKits.Of(loaded.Row, loaded.State, _fleet.Today(fleet.State)), facts, fleet.State, _fleet.Today(fleet.State), by))
            : null;
    }

    private static Attempt<Receipt> Refused(AskKitCommand request, Refusal refusal, long version) =>
        new(null, request.Refused(refusal) with { SessionVersion = version });
}
