using MediatR;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits;

/// <summary>A kit hands over journaled facts, signed.</summary>
internal sealed record RecordKitReports(SignedReports Batch, Caller Caller, string ConnectionId) : IHubRequest<ReportAck>
{
    // An answer with a refusal tells the kit to move on past the report. A failing disk must not do that: it is a fault, and the kit sends again.
    public ReportAck Refused(Refusal refusal) => refusal.Code == RefusalCodes.StorageFault ? throw new HubException(refusal.Sentence) : new ReportAck(0, refusal);

    public string Trace() => "reports of a kit";
}

/// <summary>Turns reports into events and makes them durable together with the journal's cursor.</summary>
internal sealed partial class RecordKitReportsHandler : IRequestHandler<RecordKitReports, ReportAck>
{
    private readonly SessionStore _store;
    private readonly SessionRunner _runner;
    private readonly KitLinks _links;
    private readonly CommitFollower _follower;
    private readonly Broadcaster _broadcaster;
    private readonly KitFacts _facts;
    private readonly NamedThings _named;
    private readonly HeadExchange _heads;
    private readonly ILogger<RecordKitReportsHandler> _log;

    public RecordKitReportsHandler(SessionStore store, SessionRunner runner, KitLinks links, CommitFollower follower, Broadcaster broadcaster, KitFacts facts, NamedThings named, HeadExchange heads, ILogger<RecordKitReportsHandler> log)
    {
        _store = store;
        _runner = runner;
        _links = links;
        _follower = follower;
        _broadcaster = broadcaster;
        _facts = facts;
        _named = named;
        _heads = heads;
        _log = log;
    }

    public async Task<ReportAck> Handle(RecordKitReports request, CancellationToken cancellationToken)
    {
        SessionId? stepEnded = null;
        var ack = await _runner.Run(token => Decide(request, session => stepEnded = session, token), _ => Task.FromResult(request.Refused(Refusals.UnknownSession)), cancellationToken);

        // Read once a step, not once a trial: what is read here waits on the way of every presentation.
        return stepEnded is { } sessionId
            ? ack with { Heads = await _heads.Newest(sessionId, cancellationToken) }
            : ack;
    }

    private async Task<Attempt<ReportAck>> Decide(RecordKitReports request, Action<SessionId?> stepEnded, CancellationToken cancellationToken)
    {
        var kitId = ((KitCaller)request.Caller).KitId;
        if (_links.BindingOf(kitId, request.ConnectionId) is not { } binding)
        {
            // Not a refusal either: the reports are welcome after hello, on the newest connection.
            throw new HubException("Reports come after hello, and on the newest connection only. Say hello first.");
        }

        if (binding.Open<KitBatch>(KitJws.Reports, request.Batch?.Signed) is not { Reports: not null } batch)
        {
            // Nor is this one: nothing of the batch is taken and nothing is lost; on a new link the kit sends again.
            throw new HubException("The reports are not signed with the kit's key, or cannot be read. Nothing was taken.");
        }

        stepEnded(batch.Reports.LastOrDefault(journaled => journaled?.Report is StepEnded)?.SessionId);
        var held = await _store.FindCursor(batch.JournalId, cancellationToken);
        var work = new Batch(kitId, held);
        foreach (var journaled in batch.Reports)
        {
            if (journaled is null || journaled.Sequence <= work.Held)
            {
                continue;
            }

            if (journaled.Sequence != work.Held + 1)
            {
                work.Refusal ??= new Refusal(RefusalCodes.OutOfOrder, $"Report {work.Held + 1} is missing before {journaled.Sequence}.", "Send the journal from the acknowledged place on.");
                break;
            }

            await Take(work, journaled, cancellationToken);
            work.Held = journaled.Sequence;
        }

        var ack = new ReportAck(work.Held, work.Refusal);
        return work.Held == held
            ? new Attempt<ReportAck>(null, ack)
            : new Attempt<ReportAck>(
                new AppendBatch(work.Appends(), null, new CursorToKeep(kitId, batch.JournalId, work.Held), after => Follow(kitId, after, work))
                {
                    KitFacts = work.Kit is { Facts.Count: > 0 } kit ? [new KitFactAppend(kit.Loaded, kit.Facts)] : [],
                },
                ack);
    }

    private void Follow(KitId kitId, IReadOnlyList<SessionState> after, Batch work)
    {
        _follower.Follow(after, work.Effects);
        if (work.Kit is { Facts.Count: > 0 })
        {
            _broadcaster.KitChanged(kitId);
        }

        if (work.OfSession && _links.DutyOf(kitId) is { Open: false })
        {
            // The kit was asked to wipe when the session ended, and may have done so before this was said.
            _links.AskToWipe(kitId, [.. after.Where(state => Stages.IsOver(state.Stage)).Select(state => state.SessionId)], giveUp: false);
        }
    }

    /// <summary>The kit of the batch, read once; null when nothing can be added to its facts.</summary>
    private async Task<KitInBatch?> Kit(Batch work, CancellationToken cancellationToken) => work.Kit ??=
        await _facts.Load(work.KitId, cancellationToken) is { Integrity.Valid: true } loaded ? new KitInBatch(loaded, await _facts.Context(work.KitId, cancellationToken)) : null;

    private async Task Take(Batch work, JournaledReport journaled, CancellationToken cancellationToken)
    {
        var faults = ReportValidator.Faults(journaled);
        var refusal = faults.Count > 0
            ? new Refusal(RefusalCodes.Invalid, string.Join(" ", faults))
            : await Apply(work, journaled, cancellationToken);
        if (faults.Count > 0 && journaled.Report is StepEnded ended)
        {
            // Whatever it says, the step is over on the kit. Refused alone, it would stay in hand for good and hold the session where it is.
            var without = new StepEnded(ended.StepId, StepEnding.Failed, RefusalCodes.Invalid, "The kit's report of the end of this step cannot be true, so its result does not count. Order the step again.", null);
            await Apply(work, journaled with { KitMs = double.IsFinite(journaled.KitMs) ? journaled.KitMs : 0, Report = without }, cancellationToken);
        }

        if (refusal is not null)
        {
            Log.ReportRefused(_log, work.KitId, journaled.Sequence, refusal.Code);
            work.Refusal ??= refusal;
        }
    }

    /// <summary>A count of the case is about the kit and its loan, whatever session there is.</summary>
    private async Task<Refusal?> ApplyToCase(Batch work, KitReport report, CancellationToken cancellationToken) =>
        await Kit(work, cancellationToken) is not { } kit ? KitRefusals.Unknown
        : _named.Unknown(work.KitId, report) is { } unknown ? unknown
        : kit.Ask(CaseReports.Decide(kit.State, report, kit.Context));

    private async Task<Refusal?> Apply(Batch work, JournaledReport journaled, CancellationToken cancellationToken)
    {
        if (journaled.Report is CaseCounted or CasePacked)
        {
            return await ApplyToCase(work, journaled.Report, cancellationToken);
        }

        work.OfSession = true;

        // A stop pressed before the kit knew its session belongs to the one it is in now.
        if ((journaled.SessionId ?? _links.SessionOf(work.KitId)) is not { } sessionId)
        {
            // Pressed where there is no session: the kit fell silent, and there is nobody to tell and no record it belongs to.
            Log.OfNoSession(_log, work.KitId, journaled.Sequence);
            return null;
        }

        if (!work.Sessions.TryGetValue(sessionId, out var session))
        {
            var loaded = await _store.Load(sessionId, cancellationToken);
            if (loaded is null || loaded.Plan.KitId != work.KitId)
            {
                return Refusals.UnknownSession;
            }

            if (!loaded.Integrity.Valid)
            {
                return Refusals.Damaged(loaded.Integrity.BrokenAtSequence);
            }

            session = new SessionInBatch(loaded, await _runner.Facts(loaded, cancellationToken));
            work.Sessions.Add(sessionId, session);
        }

        if (session.State.Erased)
        {
            // Taken note of and kept nowhere: what it would add to was erased, and the kit must get rid of it.
            return null;
        }

        var decision = KitReportDecider.Decide(session.State, journaled, session.Facts);
        if (decision is Refused refused)
        {
            return refused.Refusal;
        }

        var decided = (Decided)decision;
        session.Happened(decided.Events);
        work.Effects.AddRange(decided.Effects);
        foreach (var happened in decided.Events)
        {
            await TellKit(work, sessionId, happened, cancellationToken);
        }

        return null;
    }

    /// <summary>A proof of sides that passed and a case that is packed say something about the kit as well, and become its facts together with the session's events.</summary>
    private async Task TellKit(Batch work, SessionId sessionId, SessionEvent happened, CancellationToken cancellationToken)
    {
        if (happened is StepOver { Result: SideProofResult { Passed: true } proof } over)
        {
            (await Kit(work, cancellationToken))?.Happened([new SidesProven(sessionId, over.StepId, proof.Trials.Count)]);
        }
        else if (happened is CardMarkedDone { Stage: SessionStage.Handoff } && await Kit(work, cancellationToken) is { } kit)
        {
            kit.Happened(UseDecider.PackUpNoted(kit.State, sessionId, CaseReports.Screen(work.KitId)));
        }
    }

    /// <summary>Reports on their way into one append.</summary>
    private sealed class Batch(KitId kitId, long held)
    {
        public KitId KitId { get; } = kitId;

        public long Held { get; set; } = held;

        public Refusal? Refusal { get; set; }

        /// <summary>Whether some report is about a session or was said in place of one, and not about the case alone.</summary>
        public bool OfSession { get; set; }

        public Dictionary<SessionId, SessionInBatch> Sessions { get; } = [];

        public List<KitEffect> Effects { get; } = [];

        public KitInBatch? Kit { get; set; }

        public IReadOnlyList<SessionAppend> Appends() => [.. Sessions.Values.Select(session => new SessionAppend(session.Loaded, session.Events))];
    }

    /// <summary>The kit the batch comes from, with what its reports add to its facts.</summary>
    private sealed class KitInBatch(LoadedKit loaded, KitContext context)
    {
        public LoadedKit Loaded { get; } = loaded;

        public KitContext Context { get; } = context;

        public KitState State { get; private set; } = loaded.State;

        public List<KitFact> Facts { get; } = [];

        public Refusal? Ask(KitDecision decision)
        {
            Happened(decision.Facts);
            return decision.Refusal;
        }

        public void Happened(IReadOnlyList<KitFact> facts)
        {
            foreach (var fact in facts)
            {
                Facts.Add(fact);
                State = KitFold.Apply(State, new RecordedFact(State.Version + 1, Context.Now, fact));
            }
        }
    }

    /// <summary>A session that reports of the batch are about.</summary>
    private sealed class SessionInBatch(LoadedSession loaded, SessionFacts facts)
    {
        public LoadedSession Loaded { get; } = loaded;

        public SessionFacts Facts { get; } = facts;

        public SessionState State { get; private set; } = loaded.State;

        public List<SessionEvent> Events { get; } = [];

        public void Happened(IReadOnlyList<SessionEvent> events)
        {
            foreach (var happened in events)
            {
                Events.Add(happened);
                State = SessionFold.Apply(State, new RecordedEvent(State.Version + 1, Facts.Now, happened));
            }
        }
    }

    private static partial class Log
    {
        [LoggerMessage(EventId = 2105, Level = LogLevel.Information, Message = "Kit {KitId} said report {Sequence} in no session; it is kept nowhere")]
        public static partial void OfNoSession(ILogger logger, KitId kitId, long sequence);

        [LoggerMessage(EventId = 2103, Level = LogLevel.Warning, Message = "Report {Sequence} of kit {KitId} was refused: {Code}")]
        public static partial void ReportRefused(ILogger logger, KitId kitId, long sequence, string code);
    }
}
