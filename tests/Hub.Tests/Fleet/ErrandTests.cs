using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Errands;

namespace TeleHearing.Hub.Tests.Fleet;

/// <summary>Errands to laboratories: grouped, staggered, planned and done.</summary>
public sealed class ErrandTests
{
    private static readonly DateOnly _today = new(2026, 3, 2);

    private readonly PureFleet _fleet = new();

    [Fact]
    public void KitsAreGroupedByLaboratoryAndNeverMoreAreAwayThanTheTermsAllow()
    {
        var kits = Enumerable.Range(1, 6).Select(number => Kit($"kit-0{number}", new DateOnly(2026, 3, 30), number <= 4 ? "Alder Lane (invented)" : "Birch Row (invented)")).ToList();
        var state = FleetState.Empty;

        var due = ErrandPlanner.Due(state, _fleet.Context with { Today = _today, Kits = [.. kits, Kit("kit-07", new DateOnly(2026, 12, 1), "Alder Lane (invented)")] });

        Assert.Equal([4, 2], due.Select(group => group.Lines.Count));
        var stays = due.SelectMany(group => group.Lines).Select(line => (line.LeavesOn, line.BackOn)).ToList();
        Assert.All(
            Enumerable.Range(0, 200).Select(days => _today.AddDays(days)),
            day => Assert.True(stays.Count(stay => stay.LeavesOn <= day && day <= stay.BackOn) <= state.Terms.MostAwayAtLaboratory));
        Assert.Contains(due.SelectMany(group => group.Lines), line => line.BackOn == line.HoldsUntil);
    }

    [Fact]
    public void AnErrandDoesNotTakeAKitFromItsLoan()
    {
        var loan = new FleetKitLoan(LoanId.New(), new DateOnly(2026, 3, 11), new DateOnly(2026, 3, 24), new DateOnly(2026, 3, 27), false, false, null, [], null);
        var kit = Kit("kit-01", new DateOnly(2026, 3, 30), "Alder Lane (invented)") with { Loans = [loan] };

        var line = Assert.Single(Assert.Single(ErrandPlanner.Due(FleetState.Empty, _fleet.Context with { Today = _today, Kits = [kit] })).Lines);

        Assert.True(line.BackOn < loan.From || line.LeavesOn >= loan.BookableFrom);
    }

    [Fact]
    public void AnErrandIsPlannedOnceAndFinishedOnce()
    {
        var plan = new PlanErrand(Guid.CreateVersion7(), "Alder Lane (invented)", [PureFleet.Kit], _today.AddDays(1), _today.AddDays(15));
        Assert.Null(_fleet.Ask(plan));

        Assert.NotNull(_fleet.Ask(plan with { ErrandId = Guid.CreateVersion7() }));
        Assert.Equal(RefusalCodes.LoanDates, _fleet.Ask(plan with { ErrandId = Guid.CreateVersion7(), LeavesOn = _today.AddDays(-1) })!.Code);
        Assert.Null(_fleet.Ask(new FinishErrand(plan.ErrandId, null)));
        Assert.Equal(RefusalCodes.ErrandUnknown, _fleet.Ask(new FinishErrand(plan.ErrandId, null))!.Code);
        Assert.NotNull(Assert.Single(_fleet.View.Errands).FinishedAt);
    }

    [Fact]
    public void AKitThatGoesIntoNoParcelIsLeftOutAndSaidWhy()
    {
        _fleet.Hardware.Ask(new PlaceHold(KitHoldKind.BatterySuspect, "it is hot"));
        _fleet.Hardware.Now = _fleet.Hardware.Now.AddMonths(3);

        var view = _fleet.View;

        Assert.Empty(view.ErrandsDue);
        var left = Assert.Single(view.ErrandsLeftOut);
        Assert.Equal((PureFleet.Kit, false), (left.KitId, left.Planned));
        Assert.Contains("it is hot", left.Why, StringComparison.Ordinal);
        var refusal = _fleet.Ask(new PlanErrand(Guid.CreateVersion7(), "Alder Lane (invented)", [PureFleet.Kit], _fleet.Hardware.Today.AddDays(1), _fleet.Hardware.Today.AddDays(15)));
        Assert.Contains("not sent by parcel", refusal!.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void ACalendarWithoutAWorkingDayForAYearThatWasStoredBeforeTakesNoPageDown()
    {
        _fleet.Hardware.Now = new DateTimeOffset(2026, 5, 4, 9, 0, 0, TimeSpan.Zero);
        var asked = PureFleet.Request(new DateOnly(2026, 5, 11));
        var loan = _fleet.Placed(new DateOnly(2026, 5, 13));
        var shut = new FleetCalendar(FleetCalendar.Clinic, [], [.. Enumerable.Range(-10, 800).Select(days => new CalendarHoliday(new DateOnly(2026, 5, 4).AddDays(days), "shut"))]);
        _fleet.Record(new LoanRequested(asked, Support.KitSamples.Coordinator));
        _fleet.Record(new CalendarWasSet(shut, Support.KitSamples.Coordinator));

        var view = _fleet.View;

        Assert.Contains(shut.Region, view.Calendars.Select(calendar => calendar.Region));
        Assert.Contains("no working day", Assert.Single(Assert.Single(view.ErrandsDue).Lines).Reason, StringComparison.Ordinal);
        Assert.All(view.Loans, shown => Assert.Contains("no working day", shown.Doubt, StringComparison.Ordinal));
        Assert.Contains("no working day", _fleet.Ask(new ProlongLoan(loan, new DateOnly(2026, 6, 30), "one more session"))!.Sentence, StringComparison.Ordinal);
        var plan = new FleetPlanAsk(Guid.NewGuid(), _fleet.Hardware.Today, _fleet.Hardware.Today.AddDays(70), 10, 5, MovePromised: false, OneMoreKit: false);
        Assert.Empty(Assert.Single(Hub.Planning.PlanProblemBuilder.Build(plan, _fleet.State, _fleet.Context, new Dictionary<KitId, IReadOnlyList<string>>()).Requests).Windows);
    }

    private static FleetKit Kit(string id, DateOnly until, string laboratory) => new(new KitId(id), "loan kit", "shelf", true, [], until, laboratory, false, []);
}
