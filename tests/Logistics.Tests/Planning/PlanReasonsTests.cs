using TeleHearing.Logistics.Planning;
using static TeleHearing.Logistics.Tests.Planning.SmallPlans;

namespace TeleHearing.Logistics.Tests.Planning;

public sealed class PlanReasonsTests
{
    [Fact]
    public void NoKitOfThatKind() =>
        Check(Problem([Kit("kit-1")], Request("a", 0, Routine, 10) with { Needs = Set("air", "bone") }), UnplacedReason.NoKitOfKind, "No kit has bone.");

    [Fact]
    public void NoSingleKitHasAll() =>
        Check(Problem([Kit("kit-1", 1000, "air"), Kit("kit-2", 1000, "bone")], Request("a", 0, Routine, 10) with { Needs = Set("air", "bone") }), UnplacedReason.NoKitOfKind, "No single kit has all of air, bone.");

    [Fact]
    public void AllItsDaysArePast() =>
        Check(Problem([Kit("kit-1")], Request("a", 0, Routine, -30)), UnplacedReason.NoDay, "None of its days");

    [Fact]
    public void TheOnlyKitIsHeld() =>
        Check(Problem([Kit("kit-1") with { Away = [new KitAway(Day(0), null, AwayReason.Hold, "battery suspect")] }], Request("a", 0, Routine, 10)), UnplacedReason.Held, "held or not on the shelf", "held: battery suspect");

    [Fact]
    public void TheCertificateEndsBefore() =>
        Check(Problem([Kit("kit-1", 11)], Request("a", 0, Routine, 10)) with { Calibration = new CalibrationTerms(7, 30, 1, []) }, UnplacedReason.CertificateEnds, "calibration of kit-1, the only kit that fits,", "its calibration ends before");

    [Fact]
    public void EveryKitIsWithOthers() =>
        Check(
            Problem([Kit("kit-1"), Kit("kit-2")], Request("first", 0, Routine, 10), Request("a", 1, Routine, 11)) with { Fixed = [new FixedLoan("sent", "kit-2", Day(0), Day(20))] },
            UnplacedReason.KitsAway,
            "each of the 2 kits that fit is away, or given to another request by this plan",
            "with first from 10 March 2026 to 15 March 2026",
            "with sent until 22 March 2026");

    [Fact]
    public void TheOnlyKitIsGivenToAnotherRequestOfThePlan() =>
        Check(
            Problem([Kit("kit-1")], Request("first", 0, Routine, 10), Request("a", 1, Routine, 11)),
            UnplacedReason.KitsAway,
            "On every possible day this plan gives kit-1, the only kit that fits, to another request.",
            "with first from 10 March 2026");

    private static void Check(PlanProblem problem, UnplacedReason reason, string sentence, params string[] details)
    {
        var plan = FirstComePlanner.Plan(problem);
        var unplaced = PlanReasons.Of(problem, plan).Single(one => one.RequestId == "a");

        Assert.Equal(reason, unplaced.Reason);
        Assert.Contains(sentence, unplaced.Sentence, StringComparison.Ordinal);
        Assert.All(details, detail => Assert.Contains(unplaced.Details, line => line.Contains(detail, StringComparison.Ordinal)));
    }
}
