using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Fleet;

/// <summary>A fact of the clinic's fleet. Appended once, never changed; a wrong one is put right by a later one. None says anything about a person tested.</summary>
internal abstract record FleetFact;

/// <summary>A fact with its place and hub time.</summary>
internal sealed record RecordedFleetFact(long Sequence, DateTimeOffset At, FleetFact Fact);

/// <summary>A fact this build cannot read. It is carried along: its place and its hash count, its content changes nothing.</summary>
internal sealed record UnreadableFleetFact(string Kind, int Shape, string Payload) : FleetFact;

/// <summary>A kit was asked for. The days of its sessions are in it, as they were when it was asked.</summary>
internal sealed record LoanRequested(RequestLoan Request, Actor By) : FleetFact;

/// <summary>A loan is no longer wanted, or the kit promised to it was freed.</summary>
internal sealed record LoanWithdrawn(LoanId LoanId, string Reason, Actor By) : FleetFact;

/// <summary>A kit was chosen. The kit's own facts say in the same transaction that it is promised.</summary>
internal sealed record LoanPlaced(LoanId LoanId, KitId KitId, DateOnly From, DateOnly DueBack, DateOnly BookableFrom, Actor By) : FleetFact;

/// <summary>The kit of a loan does not do at the site, and another loan takes its place.</summary>
internal sealed record LoanSwapped(LoanId LoanId, LoanId NewLoanId, string Reason, Actor By) : FleetFact;

/// <summary>A kit may stay longer.</summary>
internal sealed record LoanProlonged(LoanId LoanId, DateOnly DueBack, DateOnly BookableFrom, string Reason, Actor By) : FleetFact;

/// <summary>Working days of a region.</summary>
internal sealed record CalendarWasSet(FleetCalendar Calendar, Actor By) : FleetFact;

/// <summary>Terms of lending.</summary>
internal sealed record TermsWereSet(FleetTerms Terms, Actor By) : FleetFact;

/// <summary>An incident became known. Its number is that of this fact.</summary>
internal sealed record IncidentOpened(IncidentKind Kind, KitId? KitId, LoanId? LoanId, DateOnly HappenedOn, string Circumstances, bool MayHoldData, Actor By) : FleetFact;

/// <summary>What became known about an incident or was done about it.</summary>
internal sealed record IncidentNoted(long Incident, string? Information, IncidentRisk? Risk, string? ReportedTo, DateOnly? ReportedOn, DateOnly? NotifiedOn, string? Note, Actor By) : FleetFact;

/// <summary>Nothing more is to be done about an incident.</summary>
internal sealed record IncidentClosed(long Incident, string Outcome, Actor By) : FleetFact;

/// <summary>Kits are to go to a laboratory together.</summary>
internal sealed record ErrandPlanned(Guid ErrandId, string Laboratory, IReadOnlyList<KitId> Kits, DateOnly LeavesOn, DateOnly BackOn, Actor By) : FleetFact;

/// <summary>An errand is over.</summary>
internal sealed record ErrandFinished(Guid ErrandId, string? GivenUpBecause, Actor By) : FleetFact;

/// <summary>An event of a carrier or partner about a kit that is not known here. Kept as it came, apart from all kits.</summary>
/// <param name="EventId">The event's own id.</param>
/// <param name="About">What it is about, as it names it.</param>
/// <param name="Json">The event.</param>
/// <param name="Why">Why it is kept aside, as a sentence.</param>
/// <param name="By">Who handed it in.</param>
internal sealed record ForeignEventKept(string EventId, string About, string Json, string Why, Actor By) : FleetFact;
