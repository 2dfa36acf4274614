using System.Text.Json.Serialization;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Contracts;

/// <summary>Everything a console shows of loans, terms, incidents and errands: a picture of the clinic's facts at one version. Holds no truth of its own and nothing about a person.</summary>
/// <param name="Version">Number of facts it is made from.</param>
/// <param name="HubTime">Hub time when it was made.</param>
/// <param name="Today">The clinic's day.</param>
/// <param name="Loans">Loans that are asked for, promised or under way, soonest first.</param>
/// <param name="Past">Loans that are over, newest first; the latest ones only.</param>
/// <param name="Sessions">Planned sessions for which a kit may be wanted.</param>
/// <param name="Reminders">Steps owed today because a kit is due or late.</param>
/// <param name="Calendars">Working days of each region.</param>
/// <param name="Terms">Terms of lending.</param>
/// <param name="Incidents">Incidents, newest first.</param>
/// <param name="Errands">Errands to laboratories, newest first.</param>
/// <param name="ErrandsDue">Kits whose calibration is to be seen to, by laboratory.</param>
/// <param name="Foreign">Events of carriers and partners about kits this clinic does not know, newest first.</param>
/// <param name="Timeline">What was recorded, newest first; the latest only.</param>
/// <param name="Integrity">Whether the facts are whole.</param>
public sealed record FleetView(
    long Version,
    DateTimeOffset HubTime,
    DateOnly Today,
    IReadOnlyList<FleetLoanView> Loans,
    IReadOnlyList<FleetLoanView> Past,
    IReadOnlyList<SessionToServe> Sessions,
    IReadOnlyList<ReminderOwed> Reminders,
    IReadOnlyList<FleetCalendar> Calendars,
    FleetTerms Terms,
    IReadOnlyList<IncidentView> Incidents,
    IReadOnlyList<ErrandView> Errands,
    IReadOnlyList<ErrandDue> ErrandsDue,
    IReadOnlyList<ForeignEventView> Foreign,
    IReadOnlyList<TimelineEntry> Timeline,
    IntegrityView Integrity)
{
    /// <summary>Kits that would have to go to a laboratory, or are planned to, and must not go into a parcel.</summary>
    public IReadOnlyList<ErrandLeftOut> ErrandsLeftOut { get; init; } = [];
}

/// <summary>Where a loan stands.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LoanStanding>))]
public enum LoanStanding
{
    /// <summary>Asked for; no kit chosen.</summary>
    Requested,

    /// <summary>A kit is promised or being made ready.</summary>
    Promised,

    /// <summary>The kit has left and is not back.</summary>
    OnLoan,

    /// <summary>The kit is back.</summary>
    Back,

    /// <summary>Withdrawn or called off.</summary>
    Withdrawn,

    /// <summary>The kit was lost or stolen.</summary>
    Gone,
}

/// <summary>A loan as lists and papers show it.</summary>
/// <param name="Request">What was asked for.</param>
/// <param name="AskedBy">Who asked.</param>
/// <param name="AskedAt">When.</param>
/// <param name="Standing">Where it stands.</param>
/// <param name="Booking">Its dates with their reasons; absent when the calendars no longer allow any, and then <paramref name="Doubt"/> says why.</param>
/// <param name="Doubt">What is wrong with it now, as a sentence; absent when nothing is.</param>
/// <param name="KitId">Kit chosen; absent while none is.</param>
/// <param name="DueBack">Day it is to be back, extensions counted; absent while no kit is chosen.</param>
/// <param name="PaperSignedBy">Who signed the paper; absent while nobody did.</param>
/// <param name="SwappedFor">The loan that takes its place, when the kit was swapped.</param>
/// <param name="StepsTaken">Codes of the reminder steps taken.</param>
public sealed record FleetLoanView(
    RequestLoan Request,
    string AskedBy,
    DateTimeOffset AskedAt,
    LoanStanding Standing,
    KitBooking? Booking,
    string? Doubt,
    KitId? KitId,
    DateOnly? DueBack,
    string? PaperSignedBy,
    LoanId? SwappedFor,
    IReadOnlyList<string> StepsTaken)
{
    /// <summary>Why it is no longer wanted; absent while it is.</summary>
    public string? WithdrawnBecause { get; init; }
}

/// <summary>A planned session for which a kit may be wanted. Who is tested does not stand in it.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="PlannedStart">When it begins.</param>
/// <param name="Place">Where.</param>
/// <param name="KitId">Kit it is planned with.</param>
/// <param name="LoanId">Loan that was asked for it; absent when none was.</param>
public sealed record SessionToServe(SessionId SessionId, DateTimeOffset PlannedStart, string Place, KitId KitId, LoanId? LoanId);

/// <summary>A step that is owed because a kit is due or late.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="KitId">Kit.</param>
/// <param name="Place">Where the kit is.</param>
/// <param name="DueBack">Day it is or was to be back.</param>
/// <param name="DaysLate">Days after that; below zero before it.</param>
/// <param name="Step">The step; only the latest one reached is owed.</param>
/// <param name="OwedSince">Day the step fell due.</param>
public sealed record ReminderOwed(LoanId LoanId, KitId KitId, string Place, DateOnly DueBack, int DaysLate, LadderStep Step, DateOnly OwedSince);

/// <summary>An incident.</summary>
/// <param name="Number">Its number.</param>
/// <param name="Kind">What kind.</param>
/// <param name="KitId">Kit concerned, if any.</param>
/// <param name="LoanId">Loan concerned, if any.</param>
/// <param name="OpenedAt">When it became known to the hub: the clock runs from here.</param>
/// <param name="OpenedBy">Who recorded it.</param>
/// <param name="HappenedOn">When it happened, as far as known.</param>
/// <param name="Circumstances">What happened.</param>
/// <param name="MayHoldData">Whether something about a person may be on the kit.</param>
/// <param name="Information">Kind of information concerned.</param>
/// <param name="Risk">What may come of it.</param>
/// <param name="ReportedTo">To whom it was reported.</param>
/// <param name="ReportedOn">When.</param>
/// <param name="NotifiedOn">When those concerned were told.</param>
/// <param name="Notes">Notes, oldest first.</param>
/// <param name="ClosedAt">When it was closed; absent while it is open.</param>
/// <param name="Outcome">What came of it.</param>
public sealed record IncidentView(
    long Number,
    IncidentKind Kind,
    KitId? KitId,
    LoanId? LoanId,
    DateTimeOffset OpenedAt,
    string OpenedBy,
    DateOnly HappenedOn,
    string Circumstances,
    bool MayHoldData,
    string? Information,
    IncidentRisk? Risk,
    string? ReportedTo,
    DateOnly? ReportedOn,
    DateOnly? NotifiedOn,
    IReadOnlyList<IncidentNoteView> Notes,
    DateTimeOffset? ClosedAt,
    string? Outcome);

/// <summary>A note on an incident.</summary>
public sealed record IncidentNoteView(DateTimeOffset At, string By, string Note);

/// <summary>An errand to a laboratory.</summary>
/// <param name="ErrandId">Id.</param>
/// <param name="Laboratory">Who calibrates.</param>
/// <param name="Kits">The kits.</param>
/// <param name="LeavesOn">Day they leave.</param>
/// <param name="BackOn">Day they are expected back.</param>
/// <param name="FinishedAt">When it was over; absent while it is not.</param>
/// <param name="GivenUpBecause">Why it was given up.</param>
public sealed record ErrandView(Guid ErrandId, string Laboratory, IReadOnlyList<KitId> Kits, DateOnly LeavesOn, DateOnly BackOn, DateTimeOffset? FinishedAt, string? GivenUpBecause);

/// <summary>Kits whose calibration is to be seen to at one laboratory, with days that keep the others at hand.</summary>
/// <param name="Laboratory">Who made their last calibration.</param>
/// <param name="Lines">The kits, soonest end first.</param>
public sealed record ErrandDue(string Laboratory, IReadOnlyList<ErrandDueLine> Lines);

/// <summary>A kit whose calibration is to be seen to.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="HoldsUntil">Last day of its calibration.</param>
/// <param name="LeavesOn">Day it is proposed to leave.</param>
/// <param name="BackOn">Day it is then back.</param>
/// <param name="Reason">Why that day, or why none can be kept.</param>
public sealed record ErrandDueLine(KitId KitId, DateOnly HoldsUntil, DateOnly LeavesOn, DateOnly BackOn, string Reason);

/// <summary>A kit that is left out of errands.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Why">Why it goes into no parcel, as a sentence.</param>
/// <param name="Planned">Whether an errand that is not over has it on its list all the same.</param>
public sealed record ErrandLeftOut(KitId KitId, string Why, bool Planned);

/// <summary>An event about a kit this clinic does not know, kept aside.</summary>
/// <param name="At">When it was kept.</param>
/// <param name="EventId">The event's own id.</param>
/// <param name="About">What it is about, as it names it.</param>
/// <param name="Why">Why it is kept aside.</param>
public sealed record ForeignEventView(DateTimeOffset At, string EventId, string About, string Why);

/// <summary>Which kits would do for a loan.</summary>
/// <param name="Booking">Its dates; absent when there are none.</param>
/// <param name="Faults">What is wrong with what was asked, as sentences.</param>
/// <param name="Kits">Every kit: those that would do first.</param>
/// <param name="Refusal">Why nothing is shown.</param>
public sealed record LoanChoiceReply(KitBooking? Booking, IReadOnlyList<string> Faults, IReadOnlyList<LoanChoice> Kits, Refusal? Refusal);

/// <summary>A kit as it would or would not do for a loan.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Label">What is in it.</param>
/// <param name="Where">Where it is.</param>
/// <param name="Fits">Whether it would do.</param>
/// <param name="Reasons">Why not, as sentences; what speaks for it when it would.</param>
public sealed record LoanChoice(KitId KitId, string Label, string Where, bool Fits, IReadOnlyList<string> Reasons);

/// <summary>Answer to a watch of the fleet.</summary>
public sealed record WatchFleetReply(FleetView? View, Refusal? Refusal);
