using System.Collections.Immutable;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Planning;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Tests.Planning;

public sealed class PlanProblemBuilderTests
{
    private static readonly DateOnly _today = new(2026, 3, 2);
    private static readonly KitId _kit = new("kit-01");

    [Fact]
    public void AnOpenRequestGetsAWindowForEachDayItMayBeLater()
    {
        // Worked case of the booking arithmetic: a session on Wednesday 18 March ships on Wednesday 11 and is bookable on Friday 27.
        var loan = Loan(new DateOnly(2026, 3, 18));

        var problem = Build(Ask(laterDays: 2), [loan]);

        var request = Assert.Single(problem.Requests);
        Assert.Equal(new LoanWindow(new(2026, 3, 18), new(2026, 3, 11), new(2026, 3, 27)), request.Windows[0]);
        Assert.Equal([new(2026, 3, 18), new(2026, 3, 19), new(2026, 3, 20)], request.Windows.Select(window => window.SessionDay));
        Assert.Null(request.PromisedDay);
    }

    [Fact]
    public void ALoanWithAKitStaysUnlessItMayBeMovedAndHasNotLeft()
    {
        var loan = Loan(new DateOnly(2026, 3, 18)) with { KitId = _kit, From = new(2026, 3, 11), BookableFrom = new(2026, 3, 27) };

        var promised = new FleetKitLoan(loan.Request.LoanId, new(2026, 3, 11), new(2026, 3, 25), new(2026, 3, 27), false, false, null, [], null);

        var stays = Build(Ask(), [loan], [promised]);
        var moves = Build(Ask() with { MovePromised = true }, [loan], [promised]);

        Assert.Equal(new FixedLoan(loan.Request.LoanId.ToString(), "kit-01", new(2026, 3, 11), new(2026, 3, 27)), Assert.Single(stays.Fixed));
        Assert.Empty(stays.Requests);
        Assert.Empty(moves.Fixed);
        Assert.Equal(new DateOnly(2026, 3, 18), Assert.Single(moves.Requests).PromisedDay);
    }

    [Fact]
    public void AKitPromisedOnItsOwnPageIsAwayThoughTheFleetKnowsNothingOfIt()
    {
        var onItsPage = new FleetKitLoan(LoanId.New(), new(2026, 3, 11), new(2026, 3, 25), new(2026, 3, 27), false, false, null, [], null);
        var overdue = onItsPage with { LoanId = LoanId.New(), From = new(2026, 2, 2), DueBack = new(2026, 2, 20), BookableFrom = new(2026, 2, 24), Left = true };
        var over = onItsPage with { LoanId = LoanId.New(), Ended = "received" };

        var problem = Build(Ask(), [], [onItsPage, overdue, over]);

        Assert.Equal(
            [
                new FixedLoan(overdue.LoanId.ToString(), "kit-01", new(2026, 2, 2), new(2026, 2, 24)),
                new FixedLoan(onItsPage.LoanId.ToString(), "kit-01", new(2026, 3, 11), new(2026, 3, 27)),
            ],
            problem.Fixed);
        Assert.Empty(PlanFaults.Of(problem));
    }

    [Fact]
    public void WithdrawnLoansAreNotPlannedAndHoldsAreTaken()
    {
        var problem = Build(Ask(), [Loan(new DateOnly(2026, 3, 18)) with { WithdrawnBecause = "well again" }], "battery suspect");

        Assert.Empty(problem.Requests);
        var kit = Assert.Single(problem.Kits);
        Assert.Equal(new KitAway(_today, null, AwayReason.Hold, "battery suspect"), Assert.Single(kit.Away));
        Assert.Equal(new DateOnly(2026, 5, 1), kit.CertificateLastDay);
        Assert.All(problem.Calibration.StartDays, day => Assert.Equal(DayOfWeek.Monday, day.DayOfWeek));
        Assert.Equal(14, problem.Calibration.DaysAway);
    }

    [Fact]
    public void AKitInTurnaroundIsCountedOnAfterTheWholeOfIt()
    {
        var kit = Kit([]) with { InTurnaround = true };

        var away = Assert.Single(Assert.Single(Build(Ask(), [], kit).Kits).Away);

        // Monday 2 March 2026 and the two working days of a turnaround at first.
        Assert.Equal(new KitAway(_today, new DateOnly(2026, 3, 2 + FleetTerms.Initial.Spans.TurnaroundDays), AwayReason.Hold, "it is being made ready after its return"), away);
    }

    [Fact]
    public void AKitThatHasToldNoCalibrationIsPlannedForNobody()
    {
        var state = KitState.Empty(_kit);

        Assert.Contains(PlanHolds.Of(state, [], _today), sentence => sentence.StartsWith("It has told no calibration", StringComparison.Ordinal));
    }

    private static FleetKit Kit(IReadOnlyList<FleetKitLoan> loans) =>
        new(_kit, "loan kit", "shelf", true, [TransducerKind.BoneVibrator], new DateOnly(2026, 5, 1), "laboratory", false, loans) { FreeFrom = _today };

    private static FleetPlanAsk Ask(int laterDays = 0) => new(Guid.NewGuid(), _today, _today.AddDays(70), 10, laterDays, MovePromised: false, OneMoreKit: false);

    private static FleetLoan Loan(DateOnly day) => new(
        new RequestLoan(LoanId.New(), [], [day], "12 Fjord Road", FleetCalendar.Clinic, "Europe/Oslo", [TransducerKind.BoneVibrator], LoanUrgency.Ordinary, null),
        "Pella Nyström",
        new DateTimeOffset(2026, 3, 1, 9, 0, 0, TimeSpan.Zero));

    private static PlanProblem Build(FleetPlanAsk ask, IReadOnlyList<FleetLoan> loans, params string[] holds) => Build(ask, loans, [], holds);

    private static PlanProblem Build(FleetPlanAsk ask, IReadOnlyList<FleetLoan> loans, IReadOnlyList<FleetKitLoan> onKit, params string[] holds) => Build(ask, loans, Kit(onKit), holds);

    private static PlanProblem Build(FleetPlanAsk ask, IReadOnlyList<FleetLoan> loans, FleetKit kit, params string[] holds) => PlanProblemBuilder.Build(
        ask,
        FleetState.Empty with { Loans = loans.ToImmutableDictionary(loan => loan.Request.LoanId) },
        new FleetContext(
            new DateTimeOffset(2026, 3, 2, 9, 0, 0, TimeSpan.Zero),
            _today,
            [],
            [kit],
            (_, _) => null,
            true),
        new Dictionary<KitId, IReadOnlyList<string>> { [_kit] = holds });
}
