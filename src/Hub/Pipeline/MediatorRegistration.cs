using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Demand;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Planning;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Protocols;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Pipeline;

/// <summary>All registration of the mediator (docs/decisions/0003): changing the library is a change of this file.</summary>
internal static class MediatorRegistration
{
    public static IServiceCollection AddPipeline(this IServiceCollection services)
    {
        // Scoped, both of them: as singletons they would share scoped services between calls.
        services.AddScoped<ServiceFactory>(provider => provider.GetRequiredService);
        services.AddScoped<IMediator, Mediator>();

        // Outermost first. A behaviour whose constraint a request does not meet is left out for it.
        services.AddScoped(typeof(IPipelineBehavior<,>), typeof(TraceBehaviour<,>));
        services.AddScoped(typeof(IPipelineBehavior<,>), typeof(AuditBehaviour<,>));
        services.AddScoped(typeof(IPipelineBehavior<,>), typeof(AuthoriseBehaviour<,>));
        services.AddScoped(typeof(IPipelineBehavior<,>), typeof(ValidateBehaviour<,>));
        services.AddScoped(typeof(IPipelineBehavior<,>), typeof(SilenceBehaviour<,>));
        services.AddScoped(typeof(IPipelineBehavior<,>), typeof(OnceBehaviour<,>));

        services.AddScoped<IRequestHandler<AskCommand, Receipt>, AskCommandHandler>();
        services.AddScoped<IRequestHandler<WatchBoardQuery, BoardView>, WatchBoardHandler>();
        services.AddScoped<IRequestHandler<WatchSessionQuery, WatchReply>, WatchSessionHandler>();
        services.AddScoped<IRequestHandler<WatchTask, WatchReply>, WatchTaskHandler>();
        services.AddScoped<IRequestHandler<ReadColleagues, ColleaguesReply>, ReadColleaguesHandler>();
        services.AddScoped<IRequestHandler<AskKitCommand, Receipt>, AskKitCommandHandler>();
        services.AddScoped<IRequestHandler<WatchKitQuery, WatchKitReply>, WatchKitHandler>();
        services.AddScoped<IRequestHandler<AskFleetCommand, Receipt>, AskFleetCommandHandler>();
        services.AddScoped<IRequestHandler<WatchFleetQuery, WatchFleetReply>, WatchFleetHandler>();
        services.AddScoped<IRequestHandler<ConsiderLoanQuery, LoanChoiceReply>, ConsiderLoanHandler>();
        services.AddScoped<IRequestHandler<ReadFleetHistory, FleetHistoryReply>, ReadFleetHistoryHandler>();
        services.AddScoped<IRequestHandler<PlanFleet, FleetPlanStart>, PlanFleetHandler>();
        services.AddScoped<IRequestHandler<StopFleetPlan, FleetPlanStopped>, StopFleetPlanHandler>();
        services.AddScoped<IRequestHandler<WatchKitBoardQuery, KitBoardView>, WatchKitBoardHandler>();
        services.AddScoped<IRequestHandler<ReadKitTimeline, KitTimelineView>, ReadKitTimelineHandler>();
        services.AddScoped<IRequestHandler<ReadAudit, AuditReply>, ReadAuditHandler>();
        services.AddScoped<IRequestHandler<ReadStartCard, StartCardReply>, ReadStartCardHandler>();
        services.AddScoped<IRequestHandler<ReadPractice, PracticeReply>, ReadPracticeHandler>();
        services.AddScoped<IRequestHandler<AskData, DataReply>, AskDataHandler>();
        services.AddScoped<IRequestHandler<ReadPeople, PeopleReply>, ReadPeopleHandler>();
        services.AddScoped<IRequestHandler<AskPeopleCommand, PeopleAnswer>, AskPeopleHandler>();
        services.AddScoped<IRequestHandler<ReadProtocols, ProtocolsReply>, ReadProtocolsHandler>();
        services.AddScoped<IRequestHandler<HandInProtocol, ProtocolReply>, HandInProtocolHandler>();
        services.AddScoped<IRequestHandler<TeleHearing.Hub.Kits.Keys.ChallengeKit, KitChallenge>, TeleHearing.Hub.Kits.Keys.ChallengeKitHandler>();
        services.AddScoped<IRequestHandler<ReadConsentTexts, ConsentTextsReply>, ReadConsentTextsHandler>();
        services.AddScoped<IRequestHandler<KeepConsentText, ConsentTextReply>, KeepConsentTextHandler>();
        services.AddScoped<IRequestHandler<GreetKit, KitWelcome>, GreetKitHandler>();
        services.AddScoped<IRequestHandler<TeleHearing.Hub.Kits.Wipes.RecordWipe, WipeReply>, TeleHearing.Hub.Kits.Wipes.RecordWipeHandler>();
        services.AddScoped<IRequestHandler<RecordKitReports, ReportAck>, RecordKitReportsHandler>();
        services.AddScoped<IRequestHandler<LoseKit, KitLost>, LoseKitHandler>();
        services.AddScoped<IRequestHandler<PassSignal, SignalPassed>, PassSignalHandler>();
        return services;
    }
}
