using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Demand;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Planning;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Rights;

/// <summary>Loans, terms, incidents, errands, the plan.</summary>
internal static class FleetRows
{
    private const Parties Seeing = Parties.Coordinator | Parties.Clinician | Parties.Owner;
    private const Parties Answering = Parties.Coordinator | Parties.Owner;

    public static IReadOnlyList<RightsRow> Rows { get; } =
    [
        new(
            "See loans, terms, incidents and errands, and what a loan would come to; print the papers of a loan",
            Seeing,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.WatchFleet)),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ConsiderLoan)),
            Door.Request<WatchFleetQuery>(),
            Door.Request<ConsiderLoanQuery>(),
            Door.Http("GET", "/papers/loan/{id:guid}")) { Trail = Trail.Before },
        new("Stop watching the fleet", Seeing, Door.Method<ConsoleHub>(nameof(IConsoleHub.LeaveFleet))) { WhileLocked = true },
        new(
            "Ask for a kit for planned sessions, and take that back",
            Seeing,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.AskFleet)),
            Door.Request<AskFleetCommand>(),
            Door.Command<RequestLoan>(FleetDoors.ForSessions),
            Door.Command<WithdrawLoan>()) { Trail = Trail.Follows },
        new(
            "Ask for a kit without a session, choose kits, set terms and calendars, keep incidents and errands",
            Answering,
            Door.Command<RequestLoan>(),
            Door.Command<PlaceLoan>(),
            Door.Command<SwapLoan>(),
            Door.Command<ProlongLoan>(),
            Door.Command<SetCalendar>(),
            Door.Command<SetTerms>(),
            Door.Command<OpenIncident>(),
            Door.Command<NoteIncident>(),
            Door.Command<CloseIncident>(),
            Door.Command<PlanErrand>(),
            Door.Command<FinishErrand>()) { Trail = Trail.Follows },
        new(
            "Read what the records say of demand, and plan the fleet",
            Answering,
            Door.Method<ConsoleHub>(nameof(IConsoleHub.ReadFleetHistory)),
            Door.Request<ReadFleetHistory>(),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.PlanFleet)),
            Door.Method<ConsoleHub>(nameof(IConsoleHub.StopFleetPlan)),
            Door.Request<PlanFleet>(),
            Door.Request<StopFleetPlan>()) { Trail = Trail.Before },
    ];
}
