using TeleHearing.Contracts;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Planning;
using TeleHearing.Hub.Tests.Fleet;
using TeleHearing.Hub.Tests.Support;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Tests.Planning;

/// <summary>When a plan counts on a kit, with kits that are ruled by their own decider: the plan may propose nothing the kit itself would refuse.</summary>
public sealed class PlanFromKitFactsTests
{
    private static readonly DateOnly _session = new(2026, 3, 18);

    private readonly PureFleet _fleet = new();

    [Fact]
    public void AKitThatWasSwappedIsAwayUntilItsOwnLoanLeavesItBookable()
    {
        On(11);
        var loan = _fleet.Sent(_session);
        var swapped = new LoanSwapped(loan, LoanId.New(), "no sound", KitSamples.Coordinator);
        _fleet.Record(swapped);

        var problem = Build();

        Assert.Equal(new FixedLoan(loan.ToString(), "kit-01", new(2026, 3, 11), new(2026, 3, 27)), Assert.Single(problem.Fixed));
        Assert.Empty(problem.Requests);
        AgreesWithTheKit(problem);
    }

    [Fact]
    public void ALoanThatWasExtendedOnTheKitsPageKeepsItThatMuchLonger()
    {
        On(11);
        var loan = _fleet.Sent(_session);
        Assert.Null(_fleet.AskKit(new ExtendLoan(loan, new(2026, 4, 7), new(2026, 4, 10), "one more session")));

        var problem = Build();

        Assert.Equal(new DateOnly(2026, 4, 10), Assert.Single(problem.Fixed).Bookable);
        AgreesWithTheKit(problem);
    }

    [Fact]
    public void AKitThatIsOverdueIsCountedOnAfterTodayAndItsTurnaround()
    {
        On(11);
        _fleet.Sent(_session);

        // Due on 24 March and bookable on the 27th: three days of turnaround, counted anew from a day on which it is not back.
        On(30);

        Assert.Equal(new DateOnly(2026, 4, 2), Assert.Single(Build().Kits).AvailableFrom);
        AgreesWithTheKit(Build());
    }

    [Fact]
    public void AKitThatIsBackIsCountedOnAfterItsWholeTurnaround()
    {
        On(11);
        _fleet.Sent(_session);
        On(20);
        Assert.Null(_fleet.AskKit(new ReceiveKit("T-2", [], null, EntryMeans.Typed)));

        // Friday 20 March 2026: two working days of turnaround end on Tuesday.
        Assert.Equal(new DateOnly(2026, 3, 24), Assert.Single(Assert.Single(Build().Kits).Away).Until);

        // Put aside until Tuesday, it is made ready after that.
        Assert.Null(_fleet.AskKit(new QuarantineKit(new DateTimeOffset(2026, 3, 24, 8, 0, 0, TimeSpan.Zero), "used by somebody with an infection")));
        Assert.Equal(new DateOnly(2026, 3, 26), Assert.Single(Assert.Single(Build().Kits).Away).Until);
        AgreesWithTheKit(Build());
    }

    [Fact]
    public void AKitAtTheLaboratoryWithoutAnErrandIsCountedOnFromTheDayAfterItIsExpectedBack()
    {
        Assert.Null(_fleet.AskKit(new SendToLaboratory("Alder Lane (invented)", new(2026, 3, 16))));

        var kit = Assert.Single(Build().Kits);

        Assert.Equal(new KitAway(_fleet.Hardware.Today, new(2026, 3, 17), AwayReason.Calibration, "at the laboratory"), Assert.Single(kit.Away));
        Assert.Equal(new DateOnly(2026, 3, 17), kit.AvailableFrom);
        AgreesWithTheKit(Build());
    }

    [Fact]
    public void APromisedLoanMayBeMovedUntilItsKitIsPacked()
    {
        var loan = _fleet.Placed(_session);
        Assert.Equal(loan.ToString(), Assert.Single(Build(move: true).Requests).Id);
        Assert.Empty(Build(move: true).Fixed);

        Assert.Null(_fleet.AskKit(new SignLoanPaper(loan, "R. Hale")));
        Assert.Null(_fleet.AskKit(new PackKit(loan, [], null, null)));

        Assert.Empty(Build(move: true).Requests);
        Assert.Equal(loan.ToString(), Assert.Single(Build(move: true).Fixed).RequestId);
    }

    /// <summary>The kit is asked with each day: it accepts no loan on a day before the plan counts on it.</summary>
    private void AgreesWithTheKit(PlanProblem problem)
    {
        Assert.Empty(PlanFaults.Of(problem));
        var days = KitDays.Of(problem, Assert.Single(problem.Kits));
        for (var from = _fleet.Hardware.Today; from < _fleet.Hardware.Today.AddDays(25); from = from.AddDays(1))
        {
            var refused = _fleet.Context.AskKit(PureFleet.Kit, new ReserveKit(LoanId.New(), from, from.AddDays(5), from.AddDays(8), "Mill Lane 4"))!.Refusal;
            Assert.True(refused is null || !days.IsFree(from, from.AddDays(8)), $"{from}: the plan counts on the kit, which says: {refused?.Sentence}");
        }
    }

    private void On(int march) => _fleet.Hardware.Now = new DateTimeOffset(2026, 3, march, 9, 0, 0, TimeSpan.Zero);

    private PlanProblem Build(bool move = false) => PlanProblemBuilder.Build(
        new FleetPlanAsk(Guid.NewGuid(), _fleet.Hardware.Today, _fleet.Hardware.Today.AddDays(70), 10, 0, move, OneMoreKit: false),
        _fleet.State,
        _fleet.Context,
        new Dictionary<KitId, IReadOnlyList<string>>());
}
