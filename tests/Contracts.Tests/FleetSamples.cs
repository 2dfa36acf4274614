using TeleHearing.Audiology.Levels;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Contracts.Tests;

/// <summary>One sample of everything about the fleet that crosses the wire, with fixed ids.</summary>
internal static class FleetSamples
{
    private static readonly LoanId _loan = new(Guid.Parse("0193a000-0000-7000-8000-0000000000a1"));
    private static readonly Guid _errand = Guid.Parse("0193a000-0000-7000-8000-0000000000a3");
    private static readonly DateOnly _session = new(2026, 3, 18);
    private static readonly DateTimeOffset _at = new(2026, 3, 2, 9, 30, 0, TimeSpan.Zero);
    private static readonly KitId _kit = new("kit-02");

    private static RequestLoan Request { get; } = new(
        _loan, [Samples.Session], [_session], "Millrace Lane 4, Harrow Ferry", "north", "America/Halifax", [TransducerKind.Circumaural], LoanUrgency.Soon, new LoanSpans(1, 3, 1, 3, 2));

    private static KitBooking Booking { get; } = BookingPlanner.Backwards(
        _session, _session, new BookingDays(1, 3, 1, 3, 2), CalendarPair.Same(WorkCalendar.From(CalendarRules.MondayToFriday("clinic"))));

    public static IReadOnlyList<FleetCommand> Commands =>
    [
        Request,
        new WithdrawLoan(_loan, "the visit is at the office now"),
        new PlaceLoan(_loan, _kit),
        new SwapLoan(_loan, new LoanId(Guid.Parse("0193a000-0000-7000-8000-0000000000a2")), new KitId("kit-03"), [_session.AddDays(7)], "nothing on the left side"),
        new ProlongLoan(_loan, _session.AddDays(20), "one more session"),
        new SetCalendar("north", [DayOfWeek.Saturday, DayOfWeek.Sunday], [new CalendarHoliday(new DateOnly(2026, 3, 19), "Ferry day (invented)")]),
        new SetTerms(FleetTerms.Initial with { Zone = "America/Halifax", IncidentHours = 48 }),
        new OpenIncident(IncidentKind.NearMiss, _kit, _loan, _session, "The parcel was left at the wrong door and fetched the same day.", true),
        new NoteIncident(4, "test results", IncidentRisk.Low, "the clinic's owner", _session, _session, "all told"),
        new CloseIncident(4, "Nothing was opened."),
        new PlanErrand(_errand, "Alder Lane Acoustics (invented)", [_kit], _session, _session.AddDays(14)),
        new FinishErrand(_errand, null),
        new SetTier("assistant-1", AssistantTier.Trained, "course of the clinic"),
        new GiveSignOff(_errand, "assistant-1", AssistantTask.EarPicture, "clinician-1", VerifiedHow.InPerson, _session, _session.AddDays(365), "steady hands"),
        new WithdrawSignOff(_errand, "left the clinic"),
        new KeepRegistration(_errand, "clinician-1", "CA-NS", "A-1042", "Audiologist", _session.AddDays(300)),
        new EndRegistration(_errand, "clinician-1", "moved"),
    ];

    public static IReadOnlyList<object> Messages =>
    [
        new FleetCommandEnvelope(Protocol.Version, Samples.Command, _at, new PlaceLoan(_loan, _kit)),
        new WatchFleetReply(
            new FleetView(
                9,
                _at,
                new DateOnly(2026, 3, 2),
                [new FleetLoanView(Request, "Pella Nyström", _at, LoanStanding.OnLoan, Booking, null, _kit, Booking.DueBack, "R. Hale", null, ["soon"])],
                [],
                [new SessionToServe(Samples.Session, _at, "at home, kit posted", _kit, _loan)],
                [new ReminderOwed(_loan, _kit, "Millrace Lane 4, Harrow Ferry", Booking.DueBack, 2, FleetTerms.Initial.Ladder[2], Booking.DueBack.AddDays(2))],
                [FleetCalendar.MondayToFriday(FleetCalendar.Clinic)],
                FleetTerms.Initial,
                [new IncidentView(4, IncidentKind.Lost, _kit, _loan, _at, "Pella Nyström", _session, "Not found.", true, "test results", IncidentRisk.Medium, "the owner", _session, _session, [new IncidentNoteView(_at, "Pella Nyström", "asked twice")], _at, "given up")],
                [new ErrandView(_errand, "Alder Lane Acoustics (invented)", [_kit], _session, _session.AddDays(14), null, null)],
                [new ErrandDue("Alder Lane Acoustics (invented)", [new ErrandDueLine(_kit, _session, _session.AddDays(-14), _session, "It is then back in time.")])],
                [new ForeignEventView(_at, "ni:///sha-256;00", "urn:epc:id:giai:0000000.1", "No kit has this number.")],
                [new TimelineEntry(9, _at, "Pella Nyström promised kit-02.")],
                new IntegrityView(true, null)),
            null),
        new StartCardReply(
            new StartCardHelp(
                _session,
                [new RegistrationView(_errand, "CA-NS", "A-1042", "Audiologist", _session.AddDays(300), "Maren Toft", null, Lasting.Holds)],
                [new LookAlikeView("P-0002", "Otilie Brandvold", new DateOnly(1951, 4, 3), ["The name is similar."])]),
            null),
        new PracticeReply(
            new PracticeView(
                _session,
                [new AssistantView(new PracticePerson("assistant-1", "Ilse Sorrel"), AssistantTier.Trained, "course of the clinic", [new SignOffView(_errand, AssistantTask.EarPicture, "Maren Toft", VerifiedHow.InPerson, _session, _session.AddDays(20), "steady hands", "Pella Nyström", null, Lasting.EndsSoon)], [AssistantTask.HandleKit, AssistantTask.EarPicture])],
                [new ClinicianView(new PracticePerson("clinician-1", "Maren Toft"), [new RegistrationView(_errand, "CA-NS", "A-1042", "Audiologist", _session.AddDays(300), "Maren Toft", null, Lasting.Holds)])],
                [new PracticePerson("clinician-1", "Maren Toft")],
                new IntegrityView(true, null)),
            null),
        new LoanChoiceReply(Booking, [], [new LoanChoice(_kit, "loan kit", "shelf", true, ["Its calibration holds."])], null),
        new FleetHistoryReply(new FleetHistoryView(new DateOnly(2025, 3, 2), new DateOnly(2026, 3, 3), 96, [17, 24], 180, 1, 12), null),
    ];
}
