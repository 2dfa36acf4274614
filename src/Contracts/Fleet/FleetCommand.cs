using System.Text.Json.Serialization;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Contracts;

/// <summary>What can be recorded about loans, calendars, incidents, errands, sign-offs and registrations of the clinic. Each becomes a fact that stays.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "command")]
[JsonDerivedType(typeof(RequestLoan), "request-loan")]
[JsonDerivedType(typeof(WithdrawLoan), "withdraw-loan")]
[JsonDerivedType(typeof(PlaceLoan), "place-loan")]
[JsonDerivedType(typeof(SwapLoan), "swap-loan")]
[JsonDerivedType(typeof(ProlongLoan), "prolong-loan")]
[JsonDerivedType(typeof(SetCalendar), "set-calendar")]
[JsonDerivedType(typeof(SetTerms), "set-terms")]
[JsonDerivedType(typeof(OpenIncident), "open-incident")]
[JsonDerivedType(typeof(NoteIncident), "note-incident")]
[JsonDerivedType(typeof(CloseIncident), "close-incident")]
[JsonDerivedType(typeof(PlanErrand), "plan-errand")]
[JsonDerivedType(typeof(FinishErrand), "finish-errand")]
[JsonDerivedType(typeof(SetTier), "set-tier")]
[JsonDerivedType(typeof(GiveSignOff), "give-sign-off")]
[JsonDerivedType(typeof(WithdrawSignOff), "withdraw-sign-off")]
[JsonDerivedType(typeof(KeepRegistration), "keep-registration")]
[JsonDerivedType(typeof(EndRegistration), "end-registration")]
public abstract record FleetCommand;

/// <summary>A kit is wanted for sessions at one place. The days it leaves and is due back are counted backwards from the sessions by the hub.</summary>
/// <param name="LoanId">Id of the loan, made by whoever asks.</param>
/// <param name="Sessions">Planned sessions it is for; empty when none is planned yet and <paramref name="SessionDays"/> says when.</param>
/// <param name="SessionDays">Days of the sessions at the site; taken from the planned sessions when there are any.</param>
/// <param name="Place">Where the kit goes, as on a label. No name of a person tested.</param>
/// <param name="Region">Name of the calendar of the site.</param>
/// <param name="Zone">Time zone of the site, as in the IANA list, e.g. "America/Halifax".</param>
/// <param name="Needs">Transducers that must be in the kit.</param>
/// <param name="Urgency">How much it matters.</param>
/// <param name="Spans">Days on the way; absent for the clinic's own terms.</param>
public sealed record RequestLoan(
    LoanId LoanId,
    IReadOnlyList<SessionId> Sessions,
    IReadOnlyList<DateOnly> SessionDays,
    string Place,
    string Region,
    string Zone,
    IReadOnlyList<TransducerKind> Needs,
    LoanUrgency Urgency,
    LoanSpans? Spans) : FleetCommand;

/// <summary>How much a loan matters. The order is the order of importance.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<LoanUrgency>))]
public enum LoanUrgency
{
    /// <summary>May wait for another week.</summary>
    CanWait,

    /// <summary>The usual.</summary>
    Ordinary,

    /// <summary>Before others.</summary>
    Soon,

    /// <summary>Before all others.</summary>
    Urgent,
}

/// <summary>Days a loan takes besides its sessions, all of them working days.</summary>
/// <param name="SettleDays">Days the kit is to be at the site before the first session.</param>
/// <param name="TransitOutDays">Days of the way out.</param>
/// <param name="PickupDays">Days between the last session and the handing over to the carrier.</param>
/// <param name="TransitBackDays">Days of the way back.</param>
/// <param name="TurnaroundDays">Days from its return until it may be lent again.</param>
public sealed record LoanSpans(int SettleDays, int TransitOutDays, int PickupDays, int TransitBackDays, int TurnaroundDays);

/// <summary>The loan is no longer wanted. A kit that is promised to it and has not left is free again.</summary>
public sealed record WithdrawLoan(LoanId LoanId, string Reason) : FleetCommand;

/// <summary>A kit is chosen for a requested loan and promised to it.</summary>
public sealed record PlaceLoan(LoanId LoanId, KitId KitId) : FleetCommand;

/// <summary>The kit at the site does not do: another one is promised for the sessions still to come. The first one still has to come back.</summary>
/// <param name="LoanId">The loan whose kit fails.</param>
/// <param name="NewLoanId">Id of the loan that takes its place, made by whoever asks.</param>
/// <param name="KitId">The other kit.</param>
/// <param name="SessionDays">Days of the sessions still to come, at the site.</param>
/// <param name="Reason">Why the first one does not do.</param>
public sealed record SwapLoan(LoanId LoanId, LoanId NewLoanId, KitId KitId, IReadOnlyList<DateOnly> SessionDays, string Reason) : FleetCommand;

/// <summary>The kit is to be back later than planned. Refused when its calibration or its next loan does not allow it.</summary>
public sealed record ProlongLoan(LoanId LoanId, DateOnly DueBack, string Reason) : FleetCommand;

/// <summary>The working days of a region. Replaces the calendar of that name.</summary>
/// <param name="Region">Name; the clinic's own end is <see cref="FleetCalendar.Clinic"/>.</param>
/// <param name="WeekendDays">Weekdays that never work.</param>
/// <param name="Holidays">Single days that do not work.</param>
public sealed record SetCalendar(string Region, IReadOnlyList<DayOfWeek> WeekendDays, IReadOnlyList<CalendarHoliday> Holidays) : FleetCommand;

/// <summary>The clinic's terms of lending.</summary>
public sealed record SetTerms(FleetTerms Terms) : FleetCommand;

/// <summary>An incident is recorded by hand: something happened that is no loss of a kit, or came near to one.</summary>
public sealed record OpenIncident(IncidentKind Kind, KitId? KitId, LoanId? LoanId, DateOnly HappenedOn, string Circumstances, bool MayHoldData) : FleetCommand;

/// <summary>What became known about an incident, or was done about it. Fields left out stay as they are.</summary>
/// <param name="Incident">Number of the incident.</param>
/// <param name="Information">Kind of information concerned, never the information itself.</param>
/// <param name="Risk">What may come of it, as judged by the clinic.</param>
/// <param name="ReportedTo">To whom it was reported.</param>
/// <param name="ReportedOn">When.</param>
/// <param name="NotifiedOn">When those concerned were told.</param>
/// <param name="Note">Anything else.</param>
public sealed record NoteIncident(long Incident, string? Information, IncidentRisk? Risk, string? ReportedTo, DateOnly? ReportedOn, DateOnly? NotifiedOn, string? Note) : FleetCommand;

/// <summary>Nothing more is to be done about an incident.</summary>
public sealed record CloseIncident(long Incident, string Outcome) : FleetCommand;

/// <summary>Kits are to go to a laboratory together.</summary>
/// <param name="ErrandId">Id, made by whoever asks.</param>
/// <param name="Laboratory">Who calibrates.</param>
/// <param name="Kits">The kits.</param>
/// <param name="LeavesOn">Day they leave.</param>
/// <param name="BackOn">Day they are expected back.</param>
public sealed record PlanErrand(Guid ErrandId, string Laboratory, IReadOnlyList<KitId> Kits, DateOnly LeavesOn, DateOnly BackOn) : FleetCommand;

/// <summary>An errand is over: done, or given up with a reason.</summary>
/// <param name="ErrandId">The errand.</param>
/// <param name="GivenUpBecause">Why it is given up; absent when it was done.</param>
public sealed record FinishErrand(Guid ErrandId, string? GivenUpBecause) : FleetCommand;

/// <summary>A fleet command on its way from a console to the hub.</summary>
/// <param name="ProtocolVersion">Version the console speaks.</param>
/// <param name="CommandId">Id; asking again with the same id returns the first receipt.</param>
/// <param name="ExpiresAt">Hub time after which it must not be carried out.</param>
/// <param name="Command">The command.</param>
public sealed record FleetCommandEnvelope(int ProtocolVersion, CommandId CommandId, DateTimeOffset ExpiresAt, FleetCommand Command);
