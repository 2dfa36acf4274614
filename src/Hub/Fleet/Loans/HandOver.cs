using System.Globalization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet.Loans;

/// <summary>Whether a kit may leave for a loan, as far as planned sessions say: one that is needed here first stays here. Pure.</summary>
internal static class HandOver
{
    /// <summary>The session that would be left without its kit, in words; absent when there is none.</summary>
    /// <param name="kit">The kit.</param>
    /// <param name="send">Its sending.</param>
    /// <param name="fleet">The fleet, which knows the sessions of the loan.</param>
    /// <param name="sessions">Planned sessions that have not begun.</param>
    /// <param name="clinic">The clinic's day.</param>
    public static Refusal? WhyNot(KitState kit, SendKit send, FleetState fleet, IReadOnlyList<PlannedSession> sessions, ClinicDay clinic)
    {
        if (kit.Loan(send.LoanId) is not { SentOn: null } loan)
        {
            return null;
        }

        // A loan that was promised on the kit's page alone names no sessions; those on the day it leaves may be its own.
        var request = fleet.Loans.TryGetValue(send.LoanId, out var asked) ? asked.Request : null;
        var first = sessions
            .Where(session => session.KitId == kit.KitId && request?.Sessions.Contains(session.SessionId) != true)
            .Select(session => (Session: session, Start: TimeZoneInfo.ConvertTime(session.PlannedStart, clinic.Zone), Day: clinic.On(session.PlannedStart)))
            .Where(found => found.Day >= clinic.Today && (found.Day < loan.From || (found.Day == loan.From && request?.SessionDays.Contains(found.Day) == false)))
            .OrderBy(found => found.Start)
            .FirstOrDefault();
        return first.Session is null
            ? null
            : new Refusal(
                RefusalCodes.LoanOverlaps,
                string.Create(CultureInfo.InvariantCulture, $"The kit has a session {(first.Day == clinic.Today ? "today" : $"on {first.Day:d MMMM yyyy}")} at {first.Start:HH:mm} at \"{first.Session.Place}\", and leaves for this loan on {loan.From:d MMMM yyyy} only."),
                "Hold that session first, or plan it with another kit; then hand this one over.");
    }
}
