using System.Runtime.CompilerServices;
using MediatR;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Demand;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Planning;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Protocols;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Sessions;

/// <summary>The consoles' end of the link: one line a method, no decision.</summary>
internal sealed class ConsoleHub(IMediator mediator, Broadcaster broadcaster, ControlLeases leases) : Hub<IConsoleClient>, IConsoleHub
{
    public Task<BoardView> WatchBoard() => mediator.Send(new WatchBoardQuery(Caller(), Context.ConnectionId), Context.ConnectionAborted);

    public Task<WatchReply> WatchSession(int protocolVersion, SessionId sessionId) =>
        mediator.Send(new WatchSessionQuery(protocolVersion, sessionId, Caller(), Context.ConnectionId), Context.ConnectionAborted);

    public Task LeaveSession(SessionId sessionId)
    {
        broadcaster.LeaveSession(Context.ConnectionId, sessionId);
        return Task.CompletedTask;
    }

    // Not cancelled by a broken connection: the answer is then found again under the command's id.
    public Task<Receipt> Ask(CommandEnvelope command) => mediator.Send(new AskCommand(command, Caller()), CancellationToken.None);

    public Task RenewControl(SessionId sessionId)
    {
        leases.Renew(sessionId, Caller());
        return Task.CompletedTask;
    }

    public Task<WatchReply> WatchTask(int protocolVersion, SessionId sessionId) =>
        mediator.Send(new WatchTask(protocolVersion, sessionId, Caller(), Context.ConnectionId), Context.ConnectionAborted);

    public Task<ColleaguesReply> ReadColleagues() => mediator.Send(new ReadColleagues(Caller()), Context.ConnectionAborted);

    public Task<WatchKitReply> WatchKit(int protocolVersion, KitId kitId) =>
        mediator.Send(new WatchKitQuery(protocolVersion, kitId, Caller(), Context.ConnectionId), Context.ConnectionAborted);

    public Task LeaveKit(KitId kitId)
    {
        broadcaster.LeaveKit(Context.ConnectionId, kitId);
        return Task.CompletedTask;
    }

    public Task<Receipt> AskKit(KitCommandEnvelope command) => mediator.Send(new AskKitCommand(command, Caller()), CancellationToken.None);

    public Task<WatchFleetReply> WatchFleet(int protocolVersion) =>
        mediator.Send(new WatchFleetQuery(protocolVersion, Caller(), Context.ConnectionId), Context.ConnectionAborted);

    public Task LeaveFleet()
    {
        broadcaster.LeaveFleet(Context.ConnectionId);
        return Task.CompletedTask;
    }

    public Task<Receipt> AskFleet(FleetCommandEnvelope command) => mediator.Send(new AskFleetCommand(command, Caller()), CancellationToken.None);

    public Task<LoanChoiceReply> ConsiderLoan(int protocolVersion, RequestLoan loan) =>
        mediator.Send(new ConsiderLoanQuery(protocolVersion, loan, Caller()), Context.ConnectionAborted);

    public Task<FleetHistoryReply> ReadFleetHistory() => mediator.Send(new ReadFleetHistory(Caller()), Context.ConnectionAborted);

    public Task<KitBoardView> WatchKitBoard() => mediator.Send(new WatchKitBoardQuery(Caller(), Context.ConnectionId), Context.ConnectionAborted);

    public Task<KitTimelineView> ReadKitTimeline(KitTimelineQuery query) => mediator.Send(new ReadKitTimeline(query, Caller()), Context.ConnectionAborted);

    public Task<AuditReply> ReadAudit(AuditSearch search) => mediator.Send(new ReadAudit(search, Caller()), Context.ConnectionAborted);

    public Task<PracticeReply> ReadPractice() => mediator.Send(new ReadPractice(Caller()), Context.ConnectionAborted);

    public Task<DataReply> AskData(DataEnvelope ask) => mediator.Send(new AskData(ask, Caller()), CancellationToken.None);

    public Task<PeopleReply> ReadPeople() => mediator.Send(new ReadPeople(Caller()), Context.ConnectionAborted);

    public Task<PeopleAnswer> AskPeople(PeopleRequest request) => mediator.Send(new AskPeopleCommand(request, Caller()), CancellationToken.None);

    public Task<StartCardReply> ReadStartCard(SessionId sessionId) => mediator.Send(new ReadStartCard(sessionId, Caller()), Context.ConnectionAborted);

    public Task<ProtocolsReply> ReadProtocols() => mediator.Send(new ReadProtocols(Caller()), Context.ConnectionAborted);

    public Task<ConsentTextsReply> ReadConsentTexts() => mediator.Send(new ReadConsentTexts(Caller()), Context.ConnectionAborted);

    public Task<ConsentTextReply> KeepConsentText(ConsentText text) => mediator.Send(new KeepConsentText(text, Caller()), CancellationToken.None);

    public Task<ProtocolReply> HandInProtocol(string text, bool keep) => mediator.Send(new HandInProtocol(text, keep, Caller()), CancellationToken.None);

    public async IAsyncEnumerable<FleetPlanProgress> PlanFleet(FleetPlanAsk ask, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        var start = await mediator.Send(new PlanFleet(ask, Caller()), cancellationToken);
        if (start.Progress is null)
        {
            yield return FleetPlanViews.Refused(ask?.PlanId ?? Guid.Empty, start.Refusal!);
            yield break;
        }

        await foreach (var progress in start.Progress.WithCancellation(cancellationToken))
        {
            yield return progress;
        }
    }

    public Task<FleetPlanStopped> StopFleetPlan(Guid planId) => mediator.Send(new StopFleetPlan(planId, Caller()), CancellationToken.None);

    public override Task OnDisconnectedAsync(Exception? exception)
    {
        broadcaster.Leave(Context.ConnectionId);
        return base.OnDisconnectedAsync(exception);
    }

    private PersonCaller Caller() => PersonCaller.From(Context.User!);
}
