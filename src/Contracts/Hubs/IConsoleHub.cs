namespace TeleHearing.Contracts;

/// <summary>What a console may ask of the hub. Refusals are values; exceptions are faults.</summary>
public interface IConsoleHub
{
    /// <summary>Watch the start page.</summary>
    Task<BoardView> WatchBoard();

    /// <summary>Watch a session: the picture now, and every later one through <see cref="IConsoleClient.SessionChanged"/>.</summary>
    Task<WatchReply> WatchSession(int protocolVersion, SessionId sessionId);

    /// <summary>Stop watching a session.</summary>
    Task LeaveSession(SessionId sessionId);

    /// <summary>Ask for something. The receipt comes when it is durable or refused.</summary>
    Task<Receipt> Ask(CommandEnvelope command);

    /// <summary>Say that whoever sits here is still with the session. Cheap and kept nowhere: who stays silent for longer than the life of control loses it.</summary>
    Task RenewControl(SessionId sessionId);

    /// <summary>For an assistant: watch the session of which a task is lent to them, as far as the task needs. The last picture says that it is over.</summary>
    Task<WatchReply> WatchTask(int protocolVersion, SessionId sessionId);

    /// <summary>Who control can be handed or lent to, and who may own a next step.</summary>
    Task<ColleaguesReply> ReadColleagues();

    /// <summary>Watch a kit's page: the picture now, and every later one through <see cref="IConsoleClient.KitChanged"/>.</summary>
    Task<WatchKitReply> WatchKit(int protocolVersion, KitId kitId);

    /// <summary>Stop watching a kit.</summary>
    Task LeaveKit(KitId kitId);

    /// <summary>Record something about a kit. The receipt comes when it is durable or refused.</summary>
    Task<Receipt> AskKit(KitCommandEnvelope command);

    /// <summary>Watch the clinic's loans, terms, incidents and errands: the picture now, and every later one through <see cref="IConsoleClient.FleetChanged"/>.</summary>
    Task<WatchFleetReply> WatchFleet(int protocolVersion);

    /// <summary>Stop watching the fleet.</summary>
    Task LeaveFleet();

    /// <summary>Record something about the fleet. The receipt comes when it is durable or refused.</summary>
    Task<Receipt> AskFleet(FleetCommandEnvelope command);

    /// <summary>What a loan would come to, and which kits would do for it. Nothing is kept.</summary>
    Task<LoanChoiceReply> ConsiderLoan(int protocolVersion, RequestLoan loan);

    /// <summary>What the clinic's own records say of demand, cycles and losses.</summary>
    Task<FleetHistoryReply> ReadFleetHistory();

    /// <summary>Make a plan of the fleet: every better one as it is found, and the plan at last. Leaving the stream ends the search.</summary>
    IAsyncEnumerable<FleetPlanProgress> PlanFleet(FleetPlanAsk ask, CancellationToken cancellationToken);

    /// <summary>End a search; its stream then ends with the best plan so far.</summary>
    Task<FleetPlanStopped> StopFleetPlan(Guid planId);

    /// <summary>Watch the kit board: every kit now, and the lines of those that change through <see cref="IConsoleClient.KitBoardChanged"/>.</summary>
    Task<KitBoardView> WatchKitBoard();

    /// <summary>A window of the kits' timeline.</summary>
    Task<KitTimelineView> ReadKitTimeline(KitTimelineQuery query);

    /// <summary>Search the audit.</summary>
    Task<AuditReply> ReadAudit(AuditSearch search);

    /// <summary>Assistants' tiers and sign-offs, clinicians' registrations.</summary>
    Task<PracticeReply> ReadPractice();

    /// <summary>Back up, export a person, erase a person, or read what was erased.</summary>
    Task<DataReply> AskData(DataEnvelope ask);

    /// <summary>Everybody who works with the hub.</summary>
    Task<PeopleReply> ReadPeople();

    /// <summary>Do something about people. The answer comes when it is durable or refused.</summary>
    Task<PeopleAnswer> AskPeople(PeopleRequest request);

    /// <summary>What whoever leads a session needs to fill in its start card.</summary>
    Task<StartCardReply> ReadStartCard(SessionId sessionId);

    /// <summary>The clinic's protocols.</summary>
    Task<ProtocolsReply> ReadProtocols();

    /// <summary>Look at a protocol as a file, and keep it as the next version when <paramref name="keep"/> says so.</summary>
    Task<ProtocolReply> HandInProtocol(string text, bool keep);

    /// <summary>The clinic's consent texts, every version.</summary>
    Task<ConsentTextsReply> ReadConsentTexts();

    /// <summary>Keep a consent text as the next version.</summary>
    Task<ConsentTextReply> KeepConsentText(ConsentText text);
}

/// <summary>Answer to a watch of a kit.</summary>
public sealed record WatchKitReply(KitView? View, Refusal? Refusal);

/// <summary>Answer to a watch.</summary>
public sealed record WatchReply(SessionView? View, Refusal? Refusal);

/// <summary>What a console is told. Only the broadcaster calls these.</summary>
public interface IConsoleClient
{
    /// <summary>The session's picture after new events. An older version than the one shown is dropped.</summary>
    Task SessionChanged(SessionView view);

    /// <summary>Response lamp and sound lamp.</summary>
    Task Signalled(LiveSignal signal);

    /// <summary>The start page after a change.</summary>
    Task BoardChanged(BoardView board);

    /// <summary>A kit's picture after new facts. An older version than the one shown is dropped.</summary>
    Task KitChanged(KitView view);

    /// <summary>The fleet's picture after new facts. An older version than the one shown is dropped.</summary>
    Task FleetChanged(FleetView view);

    /// <summary>Lines of the kit board that changed. A line that is not known yet is a new kit; a day that is not the one shown asks to watch anew.</summary>
    Task KitBoardChanged(KitBoardView changed);
}
