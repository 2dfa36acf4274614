using System.Runtime.CompilerServices;
using System.Threading.Channels;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Clinician.Web.Connection;
using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>The way to the hub, held in the hand of a test: what was asked is kept, what comes back is given.</summary>
internal sealed class FakeLink : IConsoleLink
{
    public event Action? PhaseChanged;

    public event Action<SessionView>? SessionChanged;

    public event Action<LiveSignal>? Signalled;

    public event Action<BoardView>? BoardChanged;

    public event Action<KitView>? KitChanged;

    public event Action<FleetView>? FleetChanged;

    public event Action<KitBoardView>? KitBoardChanged;

    public LinkPhase Phase { get; private set; } = LinkPhase.Connected;

    public List<CommandEnvelope> Asked { get; } = [];

    public List<SessionId> Watches { get; } = [];

    public WatchReply Reply { get; set; } = new(null, null);

    public BoardView Board { get; set; } = SampleViews.Board();

    /// <summary>What the hub answers; throws to break the link.</summary>
    public Func<CommandEnvelope, Receipt> Answer { get; set; } = envelope => new Receipt(envelope.CommandId, null, envelope.ExpectedVersion + 1, null);

    public List<KitCommandEnvelope> AskedOfKits { get; } = [];

    public WatchKitReply KitReply { get; set; } = new(null, null);

    /// <summary>What the hub answers about a kit; throws to break the link.</summary>
    public Func<KitCommandEnvelope, Receipt> KitAnswer { get; set; } = envelope => new Receipt(envelope.CommandId, null, 1, null);

    public void Start()
    {
    }

    public Task<BoardView> WatchBoard(CancellationToken cancellationToken) => Task.FromResult(Board);

    public Task<WatchReply> WatchSession(SessionId sessionId, CancellationToken cancellationToken)
    {
        Watches.Add(sessionId);
        return Task.FromResult(Reply);
    }

    public Task LeaveSession(SessionId sessionId, CancellationToken cancellationToken) => Task.CompletedTask;

    public IReadOnlyList<ColleagueView> Colleagues { get; set; } = [];

    public Task<ColleaguesReply> ReadColleagues(CancellationToken cancellationToken) => Task.FromResult(new ColleaguesReply(Colleagues, null));

    public Task<WatchReply> WatchTask(SessionId sessionId, CancellationToken cancellationToken) => WatchSession(sessionId, cancellationToken);

    /// <summary>Sessions of which it was said that somebody is still there.</summary>
    public List<SessionId> Renewed { get; } = [];

    public Task RenewControl(SessionId sessionId, CancellationToken cancellationToken)
    {
        Renewed.Add(sessionId);
        return Task.CompletedTask;
    }

    public Task<Receipt> Ask(CommandEnvelope command, CancellationToken cancellationToken)
    {
        Asked.Add(command);
        try
        {
            return Task.FromResult(Answer(command));
        }
        catch (Exception fault)
        {
            return Task.FromException<Receipt>(fault);
        }
    }

    public ProtocolsReply Protocols { get; set; } = new([.. ShippedProtocols.All.Select(protocol => new ProtocolEntry(protocol, ProtocolFile.Write(protocol), true, null, null))], null);

    /// <summary>Protocols handed in, and whether to keep them.</summary>
    public List<(string Text, bool Keep)> HandedIn { get; } = [];

    public ProtocolReply ProtocolAnswer { get; set; } = new(null, [], null);

    /// <summary>What was looked for in the audit.</summary>
    public List<AuditSearch> AuditSearches { get; } = [];

    /// <summary>Answers to searches of the audit, one after the other.</summary>
    public Queue<AuditReply> Audits { get; } = [];

    public Task<AuditReply> ReadAudit(AuditSearch search, CancellationToken cancellationToken)
    {
        AuditSearches.Add(search);
        return Task.FromResult(Audits.Dequeue());
    }

    public PracticeReply Practice { get; set; } = new(null, null);

    public Task<PracticeReply> ReadPractice(CancellationToken cancellationToken) => Task.FromResult(Practice);

    /// <summary>What was asked about the data of the hub, and what is answered.</summary>
    public List<DataAsk> DataAsks { get; } = [];

    public Func<DataAsk, DataReply> DataAnswer { get; set; } = _ => new DataReply(Guid.Empty, null, null, null);

    public Task<DataReply> AskData(DataAsk ask, CancellationToken cancellationToken)
    {
        DataAsks.Add(ask);
        return Task.FromResult(DataAnswer(ask));
    }

    /// <summary>Who works with the hub.</summary>
    public PeopleReply People { get; set; } = new([], null);

    /// <summary>What was done about people.</summary>
    public List<PeopleAct> PeopleActs { get; } = [];

    /// <summary>What the hub answers to it.</summary>
    public Func<PeopleAct, PeopleAnswer> PeopleAnswer { get; set; } = _ => new PeopleAnswer(null, null, null);

    public Task<PeopleReply> ReadPeople(CancellationToken cancellationToken) => Task.FromResult(People);

    public Task<PeopleAnswer> AskPeople(PeopleAct act, CancellationToken cancellationToken)
    {
        PeopleActs.Add(act);
        return Task.FromResult(PeopleAnswer(act));
    }

    public StartCardReply StartCard { get; set; } = new(new StartCardHelp(new DateOnly(2031, 5, 14), [], []), null);

    public Task<StartCardReply> ReadStartCard(SessionId sessionId, CancellationToken cancellationToken) => Task.FromResult(StartCard);

    public Task<ProtocolsReply> ReadProtocols(CancellationToken cancellationToken) => Task.FromResult(Protocols);

    public Task<ProtocolReply> HandInProtocol(string text, bool keep, CancellationToken cancellationToken)
    {
        HandedIn.Add((text, keep));
        return Task.FromResult(ProtocolAnswer);
    }

    public ConsentTextsReply ConsentTexts { get; set; } = new(SampleViews.ConsentTexts(), null);

    /// <summary>Consent texts handed in.</summary>
    public List<ConsentText> TextsKept { get; } = [];

    public ConsentTextReply ConsentTextAnswer { get; set; } = new(null, [], null);

    public Task<ConsentTextsReply> ReadConsentTexts(CancellationToken cancellationToken) => Task.FromResult(ConsentTexts);

    public Task<ConsentTextReply> KeepConsentText(ConsentText text, CancellationToken cancellationToken)
    {
        TextsKept.Add(text);
        return Task.FromResult(ConsentTextAnswer);
    }

    public Task<WatchKitReply> WatchKit(KitId kitId, CancellationToken cancellationToken) => Task.FromResult(KitReply);

    public Task LeaveKit(KitId kitId, CancellationToken cancellationToken) => Task.CompletedTask;

    public Task<Receipt> AskKit(KitCommandEnvelope command, CancellationToken cancellationToken)
    {
        AskedOfKits.Add(command);
        try
        {
            return Task.FromResult(KitAnswer(command));
        }
        catch (Exception fault)
        {
            return Task.FromException<Receipt>(fault);
        }
    }

    public List<FleetCommandEnvelope> AskedOfFleet { get; } = [];

    public WatchFleetReply FleetReply { get; set; } = new(null, null);

    /// <summary>What the hub answers about the fleet; throws to break the link.</summary>
    public Func<FleetCommandEnvelope, Receipt> FleetAnswer { get; set; } = envelope => new Receipt(envelope.CommandId, null, 1, null);

    /// <summary>What the hub says of a loan that is only considered.</summary>
    public Func<RequestLoan, LoanChoiceReply> Choice { get; set; } = _ => new LoanChoiceReply(null, [], [], null);

    public Task<WatchFleetReply> WatchFleet(CancellationToken cancellationToken) => Task.FromResult(FleetReply);

    public Task LeaveFleet(CancellationToken cancellationToken) => Task.CompletedTask;

    public Task<Receipt> AskFleet(FleetCommandEnvelope command, CancellationToken cancellationToken)
    {
        AskedOfFleet.Add(command);
        try
        {
            return Task.FromResult(FleetAnswer(command));
        }
        catch (Exception fault)
        {
            return Task.FromException<Receipt>(fault);
        }
    }

    public Task<LoanChoiceReply> ConsiderLoan(RequestLoan loan, CancellationToken cancellationToken) => Task.FromResult(Choice(loan));

    /// <summary>What the records say; throws to break the link.</summary>
    public Func<FleetHistoryReply> History { get; set; } = () => new FleetHistoryReply(null, null);

    public List<FleetPlanAsk> PlansAsked { get; } = [];

    /// <summary>What the hub says of a plan in the making, written by the test.</summary>
    public Channel<FleetPlanProgress> PlanSays { get; set; } = Channel.CreateUnbounded<FleetPlanProgress>();

    /// <summary>Plans whose search was asked to end.</summary>
    public List<Guid> PlansStopped { get; } = [];

    /// <summary>Whether the console stopped listening to a plan before it was done.</summary>
    public bool PlanLeft { get; private set; }

    public FleetPlanStopped StopAnswer { get; set; } = new(null);

    public Task<FleetHistoryReply> ReadFleetHistory(CancellationToken cancellationToken)
    {
        try
        {
            return Task.FromResult(History());
        }
        catch (Exception fault)
        {
            return Task.FromException<FleetHistoryReply>(fault);
        }
    }

    public async IAsyncEnumerable<FleetPlanProgress> PlanFleet(FleetPlanAsk ask, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        PlansAsked.Add(ask);
        using var left = cancellationToken.Register(() => PlanLeft = true);
        await foreach (var progress in PlanSays.Reader.ReadAllAsync(cancellationToken))
        {
            yield return progress with { PlanId = ask.PlanId };
        }
    }

    public Task<FleetPlanStopped> StopFleetPlan(Guid planId, CancellationToken cancellationToken)
    {
        PlansStopped.Add(planId);
        return Task.FromResult(StopAnswer);
    }

    public void Push(FleetView view) => FleetChanged?.Invoke(view);

    public KitBoardView KitBoard { get; set; } = new(SampleViews.HubTime, DateOnly.FromDateTime(SampleViews.HubTime.UtcDateTime), []);

    /// <summary>Windows of the timeline that were asked for.</summary>
    public List<KitTimelineQuery> TimelineQueries { get; } = [];

    /// <summary>What the hub answers about a window of the timeline.</summary>
    public Func<KitTimelineQuery, KitTimelineView> Timeline { get; set; } = query => new KitTimelineView(query.From, query.Days, query.From, [.. query.Kits.Select(kit => new KitTimelineRow(kit, [], []))]);

    public Task<KitBoardView> WatchKitBoard(CancellationToken cancellationToken) => Task.FromResult(KitBoard);

    public Task<KitTimelineView> ReadKitTimeline(KitTimelineQuery query, CancellationToken cancellationToken)
    {
        TimelineQueries.Add(query);
        return Task.FromResult(Timeline(query));
    }

    public void Push(KitBoardView changed) => KitBoardChanged?.Invoke(changed);

    public void Push(KitView view) => KitChanged?.Invoke(view);

    public void Enter(LinkPhase phase)
    {
        Phase = phase;
        PhaseChanged?.Invoke();
    }

    public void Push(SessionView view) => SessionChanged?.Invoke(view);

    public void Push(BoardView board) => BoardChanged?.Invoke(board);

    public void Push(LiveRoom room) => Signalled?.Invoke(new LiveSignal(SampleViews.Session, LiveSignalKind.RoomHeard) { Room = room });

    public void Push(LiveSignalKind kind) => Signalled?.Invoke(new LiveSignal(SampleViews.Session, kind));
}
