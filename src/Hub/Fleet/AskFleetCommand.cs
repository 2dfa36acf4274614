using System.Globalization;
using System.Security.Cryptography;
using System.Text.Json;
using MediatR;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet;

/// <summary>Something to record about the fleet.</summary>
internal sealed record AskFleetCommand(FleetCommandEnvelope Envelope, Caller Caller) : IHubRequest<Receipt>, IValidated, IOnce<Receipt>
{
    // A console may send nothing at all in place of a command.
    public CommandId CommandId => Envelope?.CommandId ?? default;

    public int? ProtocolVersion => Envelope?.ProtocolVersion;

    public string Door => Envelope?.Command is { } command ? FleetDoors.Of(command, Caller) : Rights.Door.Request<AskFleetCommand>();

    public IReadOnlyList<string> Faults() => FleetCommandValidator.Faults(Envelope);

    public Receipt Refused(Refusal refusal) => new(CommandId, refusal, 0, null);

    public Receipt Answered(Receipt receipt) => receipt;

    public byte[] Fingerprint() => SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(new { Caller = ((PersonCaller)Caller).Id, Fleet = Envelope.Command }, Protocol.Json));

    public string Trace() => $"{Envelope?.Command?.GetType().Name ?? "command"} {CommandId} of the fleet";
}

/// <summary>Decides on the newest facts and makes the new ones, of the fleet and of kits, durable with the receipt in one act.</summary>
internal sealed class AskFleetCommandHandler : IRequestHandler<AskFleetCommand, Receipt>
{
    private readonly FleetFacts _fleet;
    private readonly KitFacts _kits;
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly Broadcaster _broadcaster;
    private readonly IDbContextFactory<HubContext> _contexts;
    private readonly TimeProvider _time;

    public AskFleetCommandHandler(FleetFacts fleet, KitFacts kits, SessionStore store, SessionRunner runner, Broadcaster broadcaster, IDbContextFactory<HubContext> contexts, TimeProvider time)
    {
        _contexts = contexts;
        _fleet = fleet;
        _kits = kits;
        _store = store;
        _runner = runner;
        _broadcaster = broadcaster;
        _time = time;
    }

    public Task<Receipt> Handle(AskFleetCommand request, CancellationToken cancellationToken) => _kits.Alone(
        () => _runner.Run(
            token => Decide(request, token),
            async token => (await _store.FindReceipt(request.CommandId, token))?.Receipt ?? throw new IOException("A receipt that was there is gone."),
            cancellationToken),
        cancellationToken);

    private async Task<Attempt<Receipt>> Decide(AskFleetCommand request, CancellationToken cancellationToken)
    {
        var envelope = request.Envelope;
        var loaded = await _fleet.Verify(cancellationToken);
        if (!loaded.Integrity.Valid)
        {
            return Refused(request, Damaged(loaded.Integrity.BrokenAtSequence), loaded.State.Version);
        }

        if (_time.GetUtcNow() > envelope.ExpiresAt)
        {
            return Refused(request, new Refusal(RefusalCodes.Expired, "This came too late and was not carried out.", "Look at the page as it is now, then ask again."), loaded.State.Version);
        }

        var caller = (PersonCaller)request.Caller;
        var by = new Actor(caller.Id, caller.Name);
        var (context, kits) = await _fleet.ContextAbout(loaded.State, About(loaded.State, envelope.Command), by, RightsTable.CaresForKits(caller), cancellationToken);
        if (PracticeDecider.Decides(envelope.Command))
        {
            context = context with { People = await PracticePeople.Read(_contexts, cancellationToken) };
        }

        var decision = FleetDecider.Decide(loaded.State, envelope.Command, by, context);
        if (decision.Refusal is { } refusal)
        {
            return Refused(request, refusal, loaded.State.Version);
        }

        var (sessions, unfit) = await Moved(decision.Moves, by, cancellationToken);
        if (unfit is not null)
        {
            return Refused(request, unfit, loaded.State.Version);
        }

        var receipt = new Receipt(envelope.CommandId, null, loaded.State.Version + decision.Facts.Count, null);
        var batch = new AppendBatch(sessions, new ReceiptToKeep(receipt, default, request.Fingerprint()), null, _ => Tell(decision, context))
        {
            FleetFacts = new FleetFactAppend(loaded, decision.Facts),
            KitFacts = [.. decision.KitFacts.Select(facts => new KitFactAppend(kits[facts.KitId], facts.Facts))],
        };
        return new Attempt<Receipt>(batch, receipt);
    }

    /// <summary>The events of sessions that go over to another kit. Each expects the version read here: a session that begins meanwhile makes the append lose its race, and all is decided anew.</summary>
    private async Task<(IReadOnlyList<SessionAppend> Appends, Refusal? Refusal)> Moved(IReadOnlyList<SessionMove> moves, Actor by, CancellationToken cancellationToken)
    {
        var appends = new List<SessionAppend>();
        foreach (var move in moves)
        {
            if (await _store.Load(move.SessionId, cancellationToken) is not { } session)
            {
                return ([], Refusals.UnknownSession);
            }

            if (!session.Integrity.Valid)
            {
                return ([], Refusals.Damaged(session.Integrity.BrokenAtSequence));
            }

            if (session.State.Stage != SessionStage.Scheduled)
            {
                return ([], new Refusal(RefusalCodes.SessionUnknown, "A session of this loan has begun meanwhile.", "Look at the planned sessions as they are now, and choose again."));
            }

            appends.Add(new SessionAppend(session, [new SessionKitChanged(move.From, move.To, by)]));
        }

        return (appends, null);
    }

    private void Tell(FleetDecision decision, FleetContext context)
    {
        // Days and reminders of every kit are counted by them.
        if (decision.Facts.Any(fact => fact is TermsWereSet or CalendarWasSet))
        {
            foreach (var kit in context.Kits)
            {
                _broadcaster.KitChanged(kit.KitId);
            }
        }

        foreach (var kitId in decision.KitFacts.Select(facts => facts.KitId).Concat(decision.Moves.Select(move => move.From)).Distinct())
        {
            _broadcaster.KitChanged(kitId);
        }

        _broadcaster.FleetChanged();
    }

    /// <summary>Kits that the command may add facts to.</summary>
    private static IReadOnlyList<KitId> About(FleetState state, FleetCommand command) => command switch
    {
        PlaceLoan place => [place.KitId],
        SwapLoan swap => [swap.KitId],
        WithdrawLoan withdraw => Promised(state, withdraw.LoanId),
        ProlongLoan prolong => Promised(state, prolong.LoanId),
        _ => [],
    };

    private static IReadOnlyList<KitId> Promised(FleetState state, LoanId loanId) => state.Loans.TryGetValue(loanId, out var loan) && loan.KitId is { } kitId ? [kitId] : [];

    private static Attempt<Receipt> Refused(AskFleetCommand request, Refusal refusal, long version) =>
        new(null, request.Refused(refusal) with { SessionVersion = version });

    private static Refusal Damaged(long? sequence) => new(
        RefusalCodes.FleetDamaged,
        string.Create(CultureInfo.InvariantCulture, $"What is recorded about loans and incidents was changed from outside at entry {sequence}. It can be read only."),
        "Keep the data folder as it is and tell the owner.");
}
