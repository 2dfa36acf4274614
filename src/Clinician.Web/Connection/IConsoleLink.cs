using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Connection;

/// <summary>How the console stands to the hub.</summary>
public enum LinkPhase
{
    /// <summary>Never connected yet.</summary>
    Connecting,

    /// <summary>Connected.</summary>
    Connected,

    /// <summary>Was connected, is trying again.</summary>
    Reconnecting,
}

/// <summary>The console's own connection to the hub. The only seam between what is shown and the network.</summary>
public interface IConsoleLink
{
    /// <summary>How it stands now.</summary>
    LinkPhase Phase { get; }

    /// <summary>The phase changed.</summary>
    event Action? PhaseChanged;

    /// <summary>A session's newer picture came.</summary>
    event Action<SessionView>? SessionChanged;

    /// <summary>A lamp changed.</summary>
    event Action<LiveSignal>? Signalled;

    /// <summary>The start page changed.</summary>
    event Action<BoardView>? BoardChanged;

    /// <summary>A kit's newer picture came.</summary>
    event Action<KitView>? KitChanged;

    /// <summary>The fleet's newer picture came.</summary>
    event Action<FleetView>? FleetChanged;

    /// <summary>Lines of the kit board changed.</summary>
    event Action<KitBoardView>? KitBoardChanged;

    /// <summary>Begins to connect, and goes on trying for as long as the page is open. A second call does nothing.</summary>
    void Start();

    /// <inheritdoc cref="IConsoleHub.WatchBoard" />
    Task<BoardView> WatchBoard(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.WatchSession" />
    Task<WatchReply> WatchSession(SessionId sessionId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.LeaveSession" />
    Task LeaveSession(SessionId sessionId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.Ask" />
    Task<Receipt> Ask(CommandEnvelope command, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.RenewControl" />
    Task RenewControl(SessionId sessionId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.WatchTask" />
    Task<WatchReply> WatchTask(SessionId sessionId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadColleagues" />
    Task<ColleaguesReply> ReadColleagues(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.WatchKit" />
    Task<WatchKitReply> WatchKit(KitId kitId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.LeaveKit" />
    Task LeaveKit(KitId kitId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.AskKit" />
    Task<Receipt> AskKit(KitCommandEnvelope command, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.WatchFleet" />
    Task<WatchFleetReply> WatchFleet(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.LeaveFleet" />
    Task LeaveFleet(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.AskFleet" />
    Task<Receipt> AskFleet(FleetCommandEnvelope command, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ConsiderLoan" />
    Task<LoanChoiceReply> ConsiderLoan(RequestLoan loan, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadFleetHistory" />
    Task<FleetHistoryReply> ReadFleetHistory(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.PlanFleet" />
    IAsyncEnumerable<FleetPlanProgress> PlanFleet(FleetPlanAsk ask, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.StopFleetPlan" />
    Task<FleetPlanStopped> StopFleetPlan(Guid planId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.WatchKitBoard" />
    Task<KitBoardView> WatchKitBoard(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadKitTimeline" />
    Task<KitTimelineView> ReadKitTimeline(KitTimelineQuery query, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadAudit" />
    Task<AuditReply> ReadAudit(AuditSearch search, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadPeople" />
    Task<PeopleReply> ReadPeople(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.AskPeople" />
    Task<PeopleAnswer> AskPeople(PeopleAct act, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadPractice" />
    Task<PracticeReply> ReadPractice(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.AskData" />
    Task<DataReply> AskData(DataAsk ask, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadStartCard" />
    Task<StartCardReply> ReadStartCard(SessionId sessionId, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadProtocols" />
    Task<ProtocolsReply> ReadProtocols(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.HandInProtocol" />
    Task<ProtocolReply> HandInProtocol(string text, bool keep, CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.ReadConsentTexts" />
    Task<ConsentTextsReply> ReadConsentTexts(CancellationToken cancellationToken);

    /// <inheritdoc cref="IConsoleHub.KeepConsentText" />
    Task<ConsentTextReply> KeepConsentText(ConsentText text, CancellationToken cancellationToken);
}
