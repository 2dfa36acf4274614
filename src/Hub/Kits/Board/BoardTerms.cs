using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Logistics.Calendars;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>The clinic's own terms as the board counts with them: the same ones that loans are booked by.</summary>
/// <param name="Calendar">Working days.</param>
/// <param name="Ladder">Steps when a kit does not come back, in order of days.</param>
/// <param name="TransitOutDays">Working days of a parcel on its way out.</param>
/// <param name="TransitBackDays">Working days of a parcel on its way back.</param>
/// <param name="TurnaroundDays">Working days from taking a kit in to releasing it.</param>
internal sealed record BoardTerms(WorkCalendar Calendar, OverdueLadder Ladder, int TransitOutDays, int TransitBackDays, int TurnaroundDays)
{
    /// <summary>Days after which a kit is given up: the last step of the ladder; absent for a ladder that gives none up.</summary>
    public int? GivenUpAfterDays => Ladder.Steps.LastOrDefault(step => step.Action == LadderAction.GiveUp)?.DaysAfterDue;

    public static BoardTerms Of(FleetState fleet) => new(
        LoanBooking.Clinic(fleet),
        new OverdueLadder(fleet.Terms.Ladder),
        fleet.Terms.Spans.TransitOutDays,
        fleet.Terms.Spans.TransitBackDays,
        fleet.Terms.Spans.TurnaroundDays);
}
