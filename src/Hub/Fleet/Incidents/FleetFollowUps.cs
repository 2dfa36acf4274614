using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Fleet.Incidents;

/// <summary>What facts of a kit lead to in the fleet's own log, in the same act: a kit that is gone opens an incident, and so does the last step of the ladder when something about a person might be on the kit. Pure.</summary>
internal static class FleetFollowUps
{
    /// <param name="kit">The kit before the facts.</param>
    /// <param name="facts">What was decided about it.</param>
    /// <param name="state">The fleet.</param>
    /// <param name="today">The day at the clinic.</param>
    /// <param name="by">Who asked.</param>
    public static IReadOnlyList<FleetFact> Of(FleetKit kit, IReadOnlyList<KitFact> facts, FleetState state, DateOnly today, Actor by) =>
        [.. facts.Select(fact => fact switch
        {
            KitGone gone => Gone(kit, gone, state, today, by),
            ReminderTaken taken when state.Terms.Ladder.Any(step => step.Code == taken.Step && step.Action == LadderAction.GiveUp) => GivenUp(kit, taken, state, today, by),
            _ => null,
        }).OfType<FleetFact>()];

    /// <summary>Whether anything of it could matter here: spares reading the fleet for the many facts that do not.</summary>
    public static bool Concern(IReadOnlyList<KitFact> facts) => facts.Any(fact => fact is KitGone or ReminderTaken);

    private static FleetFact Gone(FleetKit kit, KitGone gone, FleetState state, DateOnly today, Actor by)
    {
        var loan = kit.Loans.LastOrDefault(known => known is { Ended: null, Left: true })?.LoanId;
        var words = gone.Circumstances.Trim();
        return Open(state, kit.KitId, loan) is { } incident
            ? new IncidentNoted(incident.Number, null, null, null, null, null, $"Recorded as {(gone.Stolen ? "stolen" : "lost")}: {words}", by)
            : new IncidentOpened(gone.Stolen ? IncidentKind.Stolen : IncidentKind.Lost, kit.KitId, loan, today, words, gone.MayHoldData, by);
    }

    private static IncidentOpened? GivenUp(FleetKit kit, ReminderTaken taken, FleetState state, DateOnly today, Actor by) =>
        kit.Loans.FirstOrDefault(loan => loan.LoanId == taken.LoanId) is { Used: true } && Open(state, kit.KitId, taken.LoanId) is null
            ? new IncidentOpened(
                IncidentKind.Breach,
                kit.KitId,
                taken.LoanId,
                today,
                string.IsNullOrWhiteSpace(taken.Note) ? "The kit did not come back from a loan on which a session used it." : taken.Note.Trim(),
                true,
                by)
            : null;

    // One record of one loss: the step that gives a kit up and the report that it is lost belong together.
    private static IncidentView? Open(FleetState state, KitId kitId, LoanId? loanId) => state.Incidents.Values.LastOrDefault(incident =>
        incident.ClosedAt is null
        && incident.KitId == kitId
        && incident.LoanId == loanId
        && incident.Kind is IncidentKind.Lost or IncidentKind.Stolen or IncidentKind.Breach);
}
