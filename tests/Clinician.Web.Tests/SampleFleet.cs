using TeleHearing.Contracts;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>A small invented fleet: two requests, two kits, a plan, and a year of records.</summary>
internal static class SampleFleet
{
    public static readonly DateOnly Today = DateOnly.FromDateTime(SampleViews.HubTime.UtcDateTime);
    public static readonly LoanId First = new(Guid.Parse("0193a000-0000-7000-8000-0000000000b1"));
    public static readonly LoanId Second = new(Guid.Parse("0193a000-0000-7000-8000-0000000000b2"));
    public static readonly LoanId Third = new(Guid.Parse("0193a000-0000-7000-8000-0000000000b3"));
    public static readonly KitId KitOne = new("kit-01");
    public static readonly KitId KitTwo = new("kit-02");

    public static FleetHistoryView Year => new(Today.AddDays(-364), Today.AddDays(1), 104, [.. Enumerable.Repeat(20, 50).Concat(Enumerable.Repeat(22, 50))], 200, 1, 8);

    public static FleetView View(params FleetLoanView[] loans) => new(
        5, SampleViews.HubTime, Today, loans, [], [], [], [FleetCalendar.MondayToFriday(FleetCalendar.Clinic)], FleetTerms.Initial, [], [], [], [], [], new IntegrityView(true, null));

    public static FleetView Asked => View(Loan(First, "Mill Lane 4", 30), Loan(Second, "Ferry Road 9", 44), Loan(Third, "Harbour Street 2", 31));

    public static FleetLoanView Loan(LoanId id, string place, int days, KitId? kit = null)
    {
        var day = Today.AddDays(days);
        var booking = BookingPlanner.Backwards(day, day, new BookingDays(1, 3, 1, 3, 2), CalendarPair.Same(WorkCalendar.From(CalendarRules.MondayToFriday("clinic"))));
        return new FleetLoanView(
            new RequestLoan(id, [], [day], place, FleetCalendar.Clinic, "America/Halifax", [], LoanUrgency.Ordinary, null),
            "Maren Toft", SampleViews.HubTime, kit is null ? LoanStanding.Requested : LoanStanding.Promised, booking, null, kit, kit is null ? null : booking.DueBack, null, null, []);
    }

    public static FleetPlanProgress Better(int placed) =>
        new(Guid.Empty, 2, 3, placed, new FleetPlanFigures(0, 2 * (3 - placed), 0, 0), new FleetPlanBound(0, null, false), null, null);

    public static FleetPlanProgress Last(bool stopped = false) => new(
        Guid.Empty, 4, 3, 2, new FleetPlanFigures(0, 2, 0, 0), new FleetPlanBound(2, 0, !stopped),
        new FleetPlanView(
            [Proposed(First, KitOne, 30), Proposed(Second, KitTwo, 44)],
            [new FleetPlanCalibration(KitTwo, Today.AddDays(3), Today.AddDays(17))],
            [new FleetPlanUnplaced(Third, "Every kit is away on these days.", ["kit-01: goes to Mill Lane 4", "kit-02: battery suspect"])],
            [new FleetPlanOneMore(["Circumaural"], 1, 2, 2, 0)],
            new FleetPlanFigures(0, 4, 3, 0),
            stopped ? 0.25 : 0,
            stopped ? null : 0,
            stopped),
        null);

    public static FleetPlanProgress Refused => new(Guid.Empty, 0, 0, 0, null, null, null, new Refusal(RefusalCodes.StepRunning, "A plan is being made for Oda Lind.", "Wait until it is done, or let them stop it."));

    private static FleetPlanLoan Proposed(LoanId loan, KitId kit, int days) =>
        new(loan, kit, Today.AddDays(days), Today.AddDays(days - 6), Today.AddDays(days + 9), false);
}
