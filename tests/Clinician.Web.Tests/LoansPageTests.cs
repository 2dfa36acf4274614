using Bunit;
using TeleHearing.Clinician.Web.Fleet.Incidents;
using TeleHearing.Clinician.Web.Loans;
using TeleHearing.Contracts;
using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;

namespace TeleHearing.Clinician.Web.Tests;

/// <summary>Loans, reminders, errands, incidents and terms in the console.</summary>
public sealed class LoansPageTests : ConsoleContext
{
    private static readonly DateOnly _today = DateOnly.FromDateTime(SampleViews.HubTime.UtcDateTime);
    private static readonly LoanId _loan = new(Guid.Parse("0193a000-0000-7000-8000-0000000000a1"));

    private static KitBooking Booking { get; } = BookingPlanner.Backwards(
        _today.AddDays(30), _today.AddDays(30), new BookingDays(1, 3, 1, 3, 2), CalendarPair.Same(WorkCalendar.From(CalendarRules.MondayToFriday("clinic"))));

    public LoansPageTests() => SignedIn = new Me("p-3", "Pella Nyström", [Roles.Coordinator]);

    [Fact]
    public async Task ALoanShowsEveryDateWithItsReasonAsADrawingAndAsATable()
    {
        var page = await Open<LoanPage>(View(Loan(LoanStanding.Promised)), parameters => parameters.Add(shown => shown.Id, _loan.Value));

        Assert.Equal("img", page.Find(".booking svg").GetAttribute("role"));
        Assert.Contains("On its way out", page.Find(".booking desc").TextContent, StringComparison.Ordinal);
        Assert.Equal(Booking.Steps.Count, page.FindAll("table.dates tbody tr").Count);
        Assert.Contains(Booking.Steps[0].Reason, page.Find("table.dates").TextContent, StringComparison.Ordinal);
        Assert.Equal($"papers/loan/{_loan}", page.Find("a.button").GetAttribute("href"));
    }

    [Fact]
    public async Task KitsThatDoNotDoSayWhyAndOneThatDoesIsChosen()
    {
        Link.Choice = _ => new LoanChoiceReply(Booking, [], [new LoanChoice(new KitId("kit-02"), "loan kit", "shelf", true, ["Its calibration holds."]), new LoanChoice(new KitId("kit-03"), "loan kit", "shelf", false, ["Another loan needs the kit."])], null);
        var page = await Open<LoanPage>(View(Loan(LoanStanding.Requested) with { KitId = null }), parameters => parameters.Add(shown => shown.Id, _loan.Value));

        Assert.Contains("✕ no", page.Markup, StringComparison.Ordinal);
        Assert.Contains("Another loan needs the kit.", page.Markup, StringComparison.Ordinal);
        await page.FindAll("button").Single(button => button.TextContent.StartsWith("Choose", StringComparison.Ordinal)).ClickAsync(new());

        Assert.Equal(new PlaceLoan(_loan, new KitId("kit-02")), Assert.Single(Link.AskedOfFleet).Command);
    }

    [Theory]
    [InlineData(LoanStanding.Withdrawn)]
    [InlineData(LoanStanding.Gone)]
    [InlineData(LoanStanding.Back)]
    public async Task ALoanItsKitHasEndedWithASessionStillToComeSaysSoAndCanBeClosed(LoanStanding standing)
    {
        var session = SessionId.New();
        var loan = Loan(standing) with { Request = Loan(standing).Request with { Sessions = [session] } };
        var view = View() with { Past = [loan], Sessions = [new SessionToServe(session, SampleViews.HubTime.AddDays(30), "at home, kit posted", new KitId("kit-02"), null)] };
        var page = await Open<LoanPage>(view, parameters => parameters.Add(shown => shown.Id, _loan.Value));
        Assert.Contains("A session still needs a kit", page.Markup, StringComparison.Ordinal);
        await page.Find("section[aria-labelledby=loan-withdraw] input").InputAsync(new() { Value = "another kit goes" });

        Assert.Equal("Close the request", page.Find("section[aria-labelledby=loan-withdraw] button").TextContent.Trim());
        await page.Find("section[aria-labelledby=loan-withdraw] form").SubmitAsync();

        Assert.Equal(new WithdrawLoan(_loan, "another kit goes"), Assert.Single(Link.AskedOfFleet).Command);
    }

    [Fact]
    public async Task AReminderIsRecordedAtItsKit()
    {
        var view = View(Loan(LoanStanding.OnLoan));
        var page = await Open<LoansPage>(view with { Reminders = [new ReminderOwed(_loan, new KitId("kit-02"), "Mill Lane 4", _today.AddDays(-7), 7, view.Terms.Ladder[4], _today)] });
        Assert.Contains("Call the site", page.Markup, StringComparison.Ordinal);
        Assert.Contains("▲ 7 days late", page.Markup, StringComparison.Ordinal);

        await page.Find(".owed form").SubmitAsync();

        Assert.Equal(new TakeReminderStep(_loan, "overdue-call", null), Assert.Single(Link.AskedOfKits).Command);
    }

    [Fact]
    public async Task AClinicianAsksForAKitForAPlannedSession()
    {
        SignedIn = new Me("p-1", "Maren Toft", [Roles.Clinician]);
        var session = SessionId.New();
        var page = await Open<LoansPage>(View() with { Sessions = [new SessionToServe(session, SampleViews.HubTime.AddDays(30), "at home, kit posted", new KitId("kit-02"), null)] });
        var form = page.Find("details form");
        await form.SubmitAsync();
        Assert.Empty(Link.AskedOfFleet);
        Assert.Contains("Choose a planned session", page.Find("details form .answer.halt").TextContent, StringComparison.Ordinal);

        await page.Find(".pick-list input").ChangeAsync(new() { Value = true });
        await page.Find("details form").SubmitAsync();

        var sent = Assert.IsType<RequestLoan>(Assert.Single(Link.AskedOfFleet).Command);
        Assert.Equal([session], sent.Sessions);
        Assert.Equal("at home, kit posted", sent.Place);
    }

    [Fact]
    public async Task ARegionWithoutHolidaysSaysSoWhereAKitIsAskedFor()
    {
        var page = await Open<LoansPage>(View());

        Assert.Contains("No holidays are entered for clinic: every weekday counts as a working day", page.Find(".no-holidays").TextContent, StringComparison.Ordinal);
        Assert.Equal("fleet/settings", page.Find(".no-holidays a").GetAttribute("href"));

        var entered = FleetCalendar.MondayToFriday(FleetCalendar.Clinic) with { Holidays = [new CalendarHoliday(new DateOnly(2031, 12, 24), "Lantern day")] };
        Assert.Empty((await Open<LoansPage>(View() with { Calendars = [entered] })).FindAll(".no-holidays"));
    }

    [Fact]
    public async Task ANumberOfTheTermsThatCannotBeUsedIsToldBesideItsField()
    {
        var page = await Open<SettingsPage>(View());
        Assert.Empty(page.FindAll("#terms ~ form .fault"));
        Assert.True(page.Find("#terms ~ form").HasAttribute("novalidate"));

        await page.Find("#terms ~ form input[type=number]").ChangeAsync(new() { Value = "-1" });

        Assert.Equal("▲ -1 cannot be used: give 0 to 60.", Assert.Single(page.FindAll("#terms ~ form .fault")).TextContent);
    }

    [Fact]
    public async Task HolidaysThatCannotBeReadAreListedByLineAndNothingIsSent()
    {
        var page = await Open<SettingsPage>(View());
        await page.Find("#calendars ~ form input").InputAsync(new() { Value = "north" });
        await page.Find("#calendars ~ form textarea").InputAsync(new() { Value = "2031-12-24 Lantern day\n24.12.2031 again\n2031-12-24 twice" });
        Assert.Equal(["Line 2", "Line 3"], page.FindAll(".faults li").Select(line => line.TextContent[..6]));
        await page.Find("#calendars ~ form").SubmitAsync();
        Assert.Empty(Link.AskedOfFleet);

        await page.Find("#calendars ~ form textarea").InputAsync(new() { Value = "2031-12-24 Lantern day" });
        await page.Find("#calendars ~ form").SubmitAsync();

        var sent = Assert.IsType<SetCalendar>(Assert.Single(Link.AskedOfFleet).Command);
        Assert.Equal(new CalendarHoliday(new DateOnly(2031, 12, 24), "Lantern day"), Assert.Single(sent.Holidays));
    }

    [Fact]
    public async Task AnOpenIncidentShowsItsClockInWords()
    {
        var incident = new IncidentView(4, IncidentKind.Lost, new KitId("kit-02"), _loan, SampleViews.HubTime.AddHours(-50), "Pella Nyström", _today, "Left on a train.", true, null, null, null, null, null, [], null, null);
        var page = await Open<IncidentsPage>(View() with { Incidents = [incident], Terms = FleetTerms.Initial with { IncidentHours = 48 } });

        Assert.Contains("▲ open", page.Markup, StringComparison.Ordinal);
        Assert.Contains("the clinic wants it reported within 48 hours", page.Markup, StringComparison.Ordinal);
        Assert.Contains("follow your local rules", page.Markup, StringComparison.Ordinal);
    }

    [Fact]
    public async Task AnErrandIsPlannedWithTheDaysProposed()
    {
        var line = new ErrandDueLine(new KitId("kit-02"), _today.AddDays(20), _today.AddDays(5), _today.AddDays(19), "It is then back in time.");
        var page = await Open<ErrandsPage>(View() with { ErrandsDue = [new ErrandDue("Alder Lane (invented)", [line])] });

        await page.Find("input[aria-label='Send kit-02']").ChangeAsync(new() { Value = true });
        await page.Find("form.group").SubmitAsync();

        var sent = Assert.IsType<PlanErrand>(Assert.Single(Link.AskedOfFleet).Command);
        Assert.Equal((line.LeavesOn, line.BackOn), (sent.LeavesOn, sent.BackOn));
        Assert.Equal([line.KitId], sent.Kits);
    }

    [Fact]
    public async Task AKitThatIsNotSentByParcelIsNamedOnTheErrandsPageWithTheWayOut()
    {
        var page = await Open<ErrandsPage>(View() with { ErrandsDue = [], ErrandsLeftOut = [new ErrandLeftOut(new KitId("kit-02"), "Battery in doubt: it is hot (held by Pella Nyström). A kit held for this is not sent by parcel.", true)] });

        var left = page.Find(".left-out").TextContent;
        Assert.Contains("kit-02: Battery in doubt: it is hot", left, StringComparison.Ordinal);
        Assert.Contains("take it out before the others leave", left, StringComparison.Ordinal);
        Assert.Contains("handed over in person, not by parcel", page.Markup, StringComparison.Ordinal);
    }

    private async Task<IRenderedComponent<TPage>> Open<TPage>(FleetView view, Action<ComponentParameterCollectionBuilder<TPage>>? more = null)
        where TPage : Microsoft.AspNetCore.Components.IComponent
    {
        await SignIn();
        Link.FleetReply = new WatchFleetReply(view, null);
        return more is null ? Render<TPage>() : Render(more);
    }

    private static FleetView View(params FleetLoanView[] loans) => new(
        5, SampleViews.HubTime, _today, loans, [], [], [], [FleetCalendar.MondayToFriday(FleetCalendar.Clinic)], FleetTerms.Initial, [], [], [], [], [], new IntegrityView(true, null));

    private static FleetLoanView Loan(LoanStanding standing) => new(
        new RequestLoan(_loan, [], [_today.AddDays(30)], "Mill Lane 4", FleetCalendar.Clinic, "America/Halifax", [], LoanUrgency.Ordinary, null),
        "Maren Toft", SampleViews.HubTime, standing, Booking, null, new KitId("kit-02"), Booking.DueBack, null, null, []);
}
