using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Errands;
using TeleHearing.Hub.Fleet.Incidents;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Fleet;

/// <summary>Decides what is recorded about the fleet. Pure.</summary>
internal static class FleetDecider
{
    public static FleetDecision Decide(FleetState state, FleetCommand command, Actor by, FleetContext context) => command switch
    {
        RequestLoan request => LoanDecider.Request(state, request, by, context),
        WithdrawLoan withdraw => LoanDecider.Withdraw(state, withdraw, by, context),
        PlaceLoan place => LoanDecider.Place(state, place, by, context),
        SwapLoan swap => LoanDecider.Swap(state, swap, by, context),
        ProlongLoan prolong => LoanDecider.Prolong(state, prolong, by, context),
        SetCalendar set => FleetDecision.Of(new CalendarWasSet(new FleetCalendar(set.Region.Trim(), [.. set.WeekendDays.Distinct().Order()], [.. set.Holidays.OrderBy(holiday => holiday.Day)]), by)),
        SetTerms set => FleetDecision.Of(new TermsWereSet(set.Terms, by)),
        OpenIncident open => IncidentDecider.Open(open, by, context),
        NoteIncident note => IncidentDecider.Note(state, note, by, context),
        CloseIncident close => IncidentDecider.Close(state, close, by),
        PlanErrand plan => ErrandDecider.Plan(state, plan, by, context),
        FinishErrand finish => ErrandDecider.Finish(state, finish, by),
        _ when PracticeDecider.Decides(command) => PracticeDecider.Decide(state.Practice, command, by, context.People, context.Today),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command, "Not a command about the fleet."),
    };
}
