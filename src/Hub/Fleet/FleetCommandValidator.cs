using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet.Loans;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Sessions;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Hub.Fleet;

/// <summary>Checks the content of fleet commands. Says everything that is wrong at once.</summary>
internal static class FleetCommandValidator
{
    /// <summary>Most sessions of one loan (design).</summary>
    public const int MostSessions = 60;

    /// <summary>Most kits of one errand (design).</summary>
    public const int MostKits = 100;

    /// <summary>Longest errand, and longest an incident's own limit, days (design).</summary>
    private const int LongestDays = 365;

    public static IReadOnlyList<string> Faults(FleetCommandEnvelope? envelope)
    {
        if (envelope is null)
        {
            return ["The command is missing."];
        }

        var faults = new Faults();
        faults.Need(envelope.CommandId.Value != Guid.Empty, "The command has no id.");
        switch (envelope.Command)
        {
            case null:
                faults.Need(false, "The command is empty.");
                break;
            case RequestLoan request:
                Request(request, faults);
                break;
            case WithdrawLoan withdraw:
                faults.Text(withdraw.Reason, "the reason");
                break;
            case PlaceLoan place:
                faults.Need(!string.IsNullOrWhiteSpace(place.KitId.Value), "The command names no kit.");
                break;
            case SwapLoan swap:
                faults.Text(swap.Reason, "the reason");
                faults.Need(swap.NewLoanId.Value != Guid.Empty, "The new loan has no number.");
                faults.Need(!string.IsNullOrWhiteSpace(swap.KitId.Value), "The command names no kit.");
                faults.Need(swap.SessionDays is { Count: > 0 and <= MostSessions }, $"Give the days of the sessions still to come, {MostSessions} at most.");
                Days(swap.SessionDays, faults);
                break;
            case ProlongLoan prolong:
                faults.Text(prolong.Reason, "the reason");
                Days([prolong.DueBack], faults);
                break;
            case SetCalendar set:
                Calendar(set, faults);
                break;
            case SetTerms { Terms: { } terms }:
                Terms(terms, faults);
                break;
            case SetTerms:
                faults.Need(false, "The terms are missing.");
                break;
            case OpenIncident open:
                faults.Known(open.Kind, "kind of incident");
                faults.Text(open.Circumstances, "what happened");
                Days([open.HappenedOn], faults);
                break;
            case NoteIncident note:
                Note(note, faults);
                break;
            case CloseIncident close:
                faults.Text(close.Outcome, "what came of it");
                break;
            case PlanErrand plan:
                Errand(plan, faults);
                break;
            case FinishErrand finish:
                faults.OptionalText(finish.GivenUpBecause, "the reason");
                break;
            default:
                PracticeValidator.Check(envelope.Command, faults);
                break;
        }

        return faults.All;
    }

    /// <summary>What is wrong with a request on its face.</summary>
    public static IReadOnlyList<string> Faults(RequestLoan? request)
    {
        if (request is null)
        {
            return ["The loan is missing."];
        }

        var faults = new Faults();
        Request(request, faults);
        return faults.All;
    }

    private static void Request(RequestLoan request, Faults faults)
    {
        faults.Need(request.LoanId.Value != Guid.Empty, "The loan has no number.");
        faults.Line(request.Place, "the place");
        faults.Line(request.Region, "the region");
        faults.Line(request.Zone, "the time zone");
        faults.Need(request.Sessions is { Count: <= MostSessions }, $"The sessions are missing or more than {MostSessions}.");
        faults.Need(request.SessionDays is { Count: <= MostSessions }, $"The days are missing or more than {MostSessions}.");
        faults.Need(request.Needs is { Count: <= 10 } && request.Needs.All(Enum.IsDefined), "What is needed is no list of kinds of transducers.");
        faults.Known(request.Urgency, "urgency");
        Days(request.SessionDays, faults);
        Spans(request.Spans, faults);
    }

    private static void Spans(LoanSpans? spans, Faults faults)
    {
        if (spans is null)
        {
            return;
        }

        foreach (var (days, what) in new[]
        {
            (spans.SettleDays, "to settle"),
            (spans.TransitOutDays, "on the way out"),
            (spans.PickupDays, "until it is picked up"),
            (spans.TransitBackDays, "on the way back"),
            (spans.TurnaroundDays, "of turnaround"),
        })
        {
            faults.Need(days is >= 0 and <= BookingDays.MostDays, $"Days {what} must be from 0 to {BookingDays.MostDays}.");
        }
    }

    private static void Days(IReadOnlyList<DateOnly>? days, Faults faults) =>
        faults.Need(days is null || days.All(day => day.Year is >= 1970 and <= 2999), "A day is not of the years 1970 to 2999.");

    private static void Calendar(SetCalendar set, Faults faults)
    {
        faults.Line(set.Region, "the name of the region");
        if (set.WeekendDays is null || set.Holidays is null || set.Holidays.Any(holiday => holiday is null))
        {
            faults.Need(false, "The days of the calendar are missing.");
            return;
        }

        foreach (var fault in LoanBooking.Rules(new FleetCalendar(set.Region ?? string.Empty, set.WeekendDays, set.Holidays)).Faults())
        {
            faults.Need(false, fault.Sentence);
        }

        faults.Need(set.Holidays.All(holiday => !string.IsNullOrWhiteSpace(holiday.Name) && holiday.Name.Length <= 80), "Every holiday needs a name of at most 80 characters.");
    }

    private static void Terms(FleetTerms terms, Faults faults)
    {
        faults.Need(LoanBooking.Zone(terms.Zone ?? string.Empty) is not null, $"There is no time zone \"{terms.Zone}\". Give one as the IANA list writes it.");
        faults.Need(terms.Spans is not null, "The days on the way are missing.");
        Spans(terms.Spans, faults);
        faults.Need(terms.QuarantineHours is >= 0 and <= 24 * 30, "Hours of quarantine must be from 0 to 720.");
        faults.Need(terms.MostAwayAtLaboratory is >= 1 and <= MostKits, $"Kits at laboratories at once must be from 1 to {MostKits}.");
        faults.Need(terms.LaboratoryDays is >= 1 and <= BookingDays.MostDays, $"Working days at the laboratory must be from 1 to {BookingDays.MostDays}.");
        faults.Need(terms.IncidentHours is null or (>= 1 and <= 24 * LongestDays), "Hours within which an incident is reported must be from 1 to 8760, or left out.");
        faults.OptionalText(terms.ReturnAddress, "the return address");
        faults.Need(terms.ReturnAddress is not null && terms.Telephone is not null, "The return address or the telephone is missing; they may be empty.");
        faults.Need((terms.Telephone?.Length ?? 0) <= 60, "The telephone number is longer than 60 characters.");
        Ladder(new OverdueLadder(terms.Ladder), faults);
    }

    private static void Ladder(OverdueLadder ladder, Faults faults)
    {
        foreach (var fault in ladder.Faults())
        {
            faults.Need(false, $"The ladder of reminders: {fault.Sentence}");
        }

        faults.Need(
            ladder.Steps?.LastOrDefault()?.Action == LadderAction.GiveUp,
            "The ladder of reminders does not end with a step at which a kit counts as lost.");
    }

    private static void Note(NoteIncident note, Faults faults)
    {
        faults.Need(
            note is not { Information: null, Risk: null, ReportedTo: null, ReportedOn: null, NotifiedOn: null, Note: null },
            "There is nothing to note.");
        faults.OptionalText(note.Information, "the kind of information");
        faults.OptionalText(note.ReportedTo, "to whom it was reported");
        faults.OptionalText(note.Note, "the note");
        faults.Need(note.Risk is null || Enum.IsDefined(note.Risk.Value), "The risk is none of the choices.");
        faults.Need(note.ReportedTo is null == note.ReportedOn is null, "Say both to whom it was reported and when.");
        Days([.. new[] { note.ReportedOn, note.NotifiedOn }.OfType<DateOnly>()], faults);
    }

    private static void Errand(PlanErrand plan, Faults faults)
    {
        faults.Need(plan.ErrandId != Guid.Empty, "The errand has no number.");
        faults.Line(plan.Laboratory, "the laboratory");
        faults.Need(plan.Kits is { Count: > 0 and <= MostKits }, $"Choose 1 to {MostKits} kits.");
        faults.Need(plan.BackOn > plan.LeavesOn, "The kits would be back before they leave.");
        Days([plan.LeavesOn, plan.BackOn], faults);
        faults.Need(plan.BackOn.DayNumber - plan.LeavesOn.DayNumber <= LongestDays, $"The errand is longer than {LongestDays} days.");
    }
}
