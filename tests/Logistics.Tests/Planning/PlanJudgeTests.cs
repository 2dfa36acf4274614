using TeleHearing.Logistics.Planning;
using static TeleHearing.Logistics.Tests.Planning.SmallPlans;

namespace TeleHearing.Logistics.Tests.Planning;

public sealed class PlanJudgeTests
{
    private static readonly PlanKit _kit = Kit("kit-1", 40);

    [Fact]
    public void LatenessCountsDaysPastTheLongestWaitThreeTimesMore()
    {
        // Asked on day 0, wanted on day 5, session on day 9: 4 days waited; the longest wait is 7 days, 2 of them past it. 9 · (4 + 3 · 2).
        var request = Request("a", 0, Urgent, 5, 9);

        Assert.Equal(90, PlanCosts.Lateness(request, Window(9)));
        Assert.Equal(0, PlanCosts.Lateness(request, Window(5)));
    }

    [Fact]
    public void EveryBrokenRuleIsNamed()
    {
        var problem = Problem([_kit], Request("a", 0, Routine, 10), Request("b", 0, Routine, 12), Request("c", 0, Routine, 50) with { Needs = Set("bone") }) with
        {
            Fixed = [new FixedLoan("sent", "kit-1", Day(0), Day(4))],
        };
        var plan = new FleetPlan(
            [new("a", "kit-1", Window(10)), new("b", "kit-1", Window(12)), new("c", "kit-1", Window(50)), new("a", "kit-1", Window(30)), new("d", "kit-1", Window(20))],
            [new("kit-1", Day(3), Day(10)), new("kit-1", Day(14), Day(20))]);

        var faults = string.Join('\n', PlanJudge.Faults(problem, plan));

        Assert.Contains("a gets 2 kits", faults, StringComparison.Ordinal);
        Assert.Contains("loan a and loan b fall together", faults, StringComparison.Ordinal);
        Assert.Contains("cannot do bone", faults, StringComparison.Ordinal);
        Assert.Contains("is not a day it can have", faults, StringComparison.Ordinal);
        Assert.Contains("no such request", faults, StringComparison.Ordinal);
        Assert.Contains("calibration and fixed loan sent fall together", faults, StringComparison.Ordinal);
        Assert.Contains("cannot go to calibration", faults, StringComparison.Ordinal);
        Assert.Contains("certificate ends before loan c", faults, StringComparison.Ordinal);
    }

    [Fact]
    public void OverlappingFixedLoansAreRefusedInWords()
    {
        var problem = Problem([_kit]) with { Fixed = [new FixedLoan("first", "kit-1", Day(0), Day(6)), new FixedLoan("second", "kit-1", Day(5), Day(9))] };

        var fault = Assert.Single(PlanFaults.Of(problem));

        Assert.Contains("Kit kit-1 is with two loans at once: first", fault.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void AHorizonThatEndsBeforeItBeginsIsRefused() =>
        Assert.Contains("span of 1 to", Assert.Single(PlanFaults.Of(Problem([_kit]) with { Until = Start.AddDays(-1) })).Sentence, StringComparison.Ordinal);

    [Fact]
    public void AGeneratedProblemComesAgainFromItsSeed()
    {
        var (first, again, other) = (PlanGenerator.Generate(new PlanShape(), 7), PlanGenerator.Generate(new PlanShape(), 7), PlanGenerator.Generate(new PlanShape(), 8));

        Assert.Equal(first.Requests.SelectMany(request => request.Windows), again.Requests.SelectMany(request => request.Windows));
        Assert.NotEqual(first.Requests.SelectMany(request => request.Windows), other.Requests.SelectMany(request => request.Windows));
    }
}
