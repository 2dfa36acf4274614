using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Fleet.Incidents;

/// <summary>Decides about incidents. Pure. Who must be told, and by when, local rules say; nothing of that is decided here.</summary>
internal static class IncidentDecider
{
    public static FleetDecision Open(OpenIncident open, Actor by, FleetContext context)
    {
        if (open.HappenedOn > context.Today)
        {
            return FleetDecision.Refuse(RefusalCodes.Invalid, $"{LoanBooking.Day(open.HappenedOn)} is still to come.", "Give the day on which it happened, as far as it is known.");
        }

        if (open.Kind is IncidentKind.Lost or IncidentKind.Stolen)
        {
            return FleetDecision.Refuse(RefusalCodes.Invalid, "A kit that is lost or stolen is reported on its own page, so that its right to link is taken away at once.", "Report it there; the incident is then opened by itself.");
        }

        return open.KitId is { } kitId && context.Kit(kitId) is null
            ? FleetDecision.Refuse(Kits.Facts.KitRefusals.Unknown)
            : FleetDecision.Of(new IncidentOpened(open.Kind, open.KitId, open.LoanId, open.HappenedOn, open.Circumstances.Trim(), open.MayHoldData, by));
    }

    public static FleetDecision Note(FleetState state, NoteIncident note, Actor by, FleetContext context)
    {
        if (Find(state, note.Incident) is { } refusal)
        {
            return FleetDecision.Refuse(refusal);
        }

        var latest = new[] { note.ReportedOn, note.NotifiedOn }.Max();
        return latest > context.Today
            ? FleetDecision.Refuse(RefusalCodes.Invalid, $"{LoanBooking.Day(latest.Value)} is still to come.", "Record what was done, once it is done.")
            : FleetDecision.Of(new IncidentNoted(note.Incident, Tidy(note.Information), note.Risk, Tidy(note.ReportedTo), note.ReportedOn, note.NotifiedOn, Tidy(note.Note), by));
    }

    public static FleetDecision Close(FleetState state, CloseIncident close, Actor by)
    {
        if (Find(state, close.Incident) is { } refusal)
        {
            return FleetDecision.Refuse(refusal);
        }

        // What a record of a breach must tell is asked before it is closed, not after.
        return state.Incidents[close.Incident] is { MayHoldData: true } incident && (incident.Information is null || incident.Risk is null)
            ? FleetDecision.Refuse(RefusalCodes.Invalid, "Something about a person may be on the kit, and the kind of information or the risk is not recorded yet.", "Record both, then close it.")
            : FleetDecision.Of(new IncidentClosed(close.Incident, close.Outcome.Trim(), by));
    }

    private static Refusal? Find(FleetState state, long number) => !state.Incidents.TryGetValue(number, out var incident)
        ? new Refusal(RefusalCodes.IncidentUnknown, "There is no such incident.", "Look at the page as it is now.")
        : incident.ClosedAt is not null
        ? new Refusal(RefusalCodes.IncidentUnknown, "This incident is closed.", "Open a new one when something else became known.")
        : null;

    private static string? Tidy(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim();
}
