using TeleHearing.Logistics.Planning;
using static TeleHearing.Logistics.Tests.Planning.SmallPlans;

namespace TeleHearing.Logistics.Tests.Planning;

public sealed class FirstComePlannerTests
{
    [Fact]
    public void WhoAskedFirstIsServedFirst()
    {
        var problem = Problem([Kit("kit-1")], Request("b", 1, Urgent, 10), Request("a", 0, Routine, 10));

        var plan = FirstComePlanner.Plan(problem);

        Assert.Equal("a", Assert.Single(plan.Loans).RequestId);
        Assert.Equal(new PlanScore(0, 9, 0, 0), PlanJudge.Score(problem, plan));
    }

    [Fact]
    public void AKitGoesToCalibrationOnTheLastDayItsCertificateAllows()
    {
        // Starts are days 0, 7, 14...; the certificate's last day is 20, so day 21 must be covered or the kit away: the latest start that does is day 21 itself.
        var problem = Problem([Kit("kit-1", lastDay: 20)]);

        var plan = FirstComePlanner.Plan(problem);

        Assert.Equal([Day(21), Day(49)], plan.Calibrations.Select(one => one.From));
        Assert.Empty(PlanJudge.Faults(problem, plan));
        Assert.Equal(0, PlanJudge.Score(problem, plan).UncoveredDays);
    }

    [Fact]
    public void KitsWhoseTurnComesAtOnceAreStaggered()
    {
        var problem = Problem([Kit("kit-1", 20), Kit("kit-2", 20), Kit("kit-3", 20)]);

        var plan = FirstComePlanner.Plan(problem);

        Assert.Empty(PlanJudge.Faults(problem, plan));
        Assert.Equal(0, PlanJudge.Score(problem, plan).UncoveredDays);
        Assert.Equal(plan.Calibrations.Count, plan.Calibrations.Select(one => one.From).Distinct().Count());
    }

    [Fact]
    public void ALoanThatWouldOutliveTheCertificateIsNotGiven()
    {
        // Certificate to day 11; the loan of a session on day 10 ends on day 12. No day is left on which the kit could be calibrated.
        var problem = Problem([Kit("kit-1", 11)], Request("a", 0, Routine, 10)) with { Calibration = new CalibrationTerms(7, 30, 1, []) };

        Assert.Empty(FirstComePlanner.Plan(problem).Loans);
        Assert.Single(FirstComePlanner.Plan(problem with { Kits = [Kit("kit-1", 12)] }).Loans);
    }

    [Fact]
    public void EveryPlanOfAnInventedYearKeepsTheRules()
    {
        for (var seed = 1; seed <= 20; seed++)
        {
            var problem = PlanGenerator.Generate(new PlanShape { Kits = 6, Requests = 120, Days = 182 }, seed);

            Assert.Empty(PlanFaults.Of(problem));
            Assert.Empty(PlanJudge.Faults(problem, FirstComePlanner.Plan(problem)));
        }
    }
}
