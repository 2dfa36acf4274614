using FsCheck;
using FsCheck.Fluent;
using TeleHearing.Hub.Planning.Solving;
using TeleHearing.Logistics.Planning;

namespace TeleHearing.Hub.Tests.Planning;

public sealed class FleetSearchTests
{
    private static readonly DateOnly _start = new(2026, 3, 2);
    private static readonly FleetSearchSettings _settings = new(120, 1) { MostRounds = 2 };

    [Fact]
    public void TheUrgentOneIsServedAndTheOtherWaits()
    {
        // One kit. By the order of asking "a" takes day 10 and "b", who has only that day, goes without; served the other way round both have a kit.
        var problem = Problem(1, Request("a", 0, 1, 10, 20), Request("b", 1, 9, 10));

        var outcome = Run(problem);

        Assert.Equal(new PlanScore(0, 9, 0, 0), outcome.FirstCome);
        Assert.Equal(new PlanScore(0, 0, 10, 0), outcome.Score);
        Assert.True(outcome.Bound.Proven);
        Assert.Equal(0, outcome.WeightGap);
    }

    [Fact]
    public void APromiseIsKeptWhereItCostsNothing()
    {
        var problem = Problem(1, Request("a", 0, 1, 10) with { PromisedDay = Day(10) }, Request("b", 0, 1, 10));

        var outcome = Run(problem);

        Assert.Equal("a", Assert.Single(outcome.Plan.Loans).RequestId);
        Assert.Equal(0, outcome.Score.Moves);
    }

    [Fact]
    public void CalibrationMakesRoomForALoanAndComesBeforeTheCertificateEnds()
    {
        // The certificate ends on day 12. The latest start would be day 7 or 14, in the way of the session on day 13 (kit away 11 to 15): it must go on day 0.
        var problem = Problem(1, Request("a", 0, 1, 13)) with { Kits = [Kit(1, 12)] };

        var outcome = Run(problem);

        Assert.Equal(new PlanScore(0, 0, 0, 0), outcome.Score);
        Assert.Equal(Day(0), outcome.Plan.Calibrations[0].From);
        Assert.Empty(PlanJudge.Faults(problem, outcome.Plan));
    }

    [Fact]
    public void NoKitsAndNoRequestsAreNoFault()
    {
        var noKits = Run(Problem(0, Request("a", 0, 1, 10)));
        var noRequests = Run(Problem(2));

        Assert.Equal(new PlanScore(0, 1, 0, 0), noKits.Score);
        Assert.True(noKits.Bound.Proven);
        Assert.Equal(0, noKits.WeightGap);
        Assert.Empty(noRequests.Plan.Loans);
        Assert.True(noRequests.Bound.Proven);
    }

    [Fact]
    public void FaultyProblemsAreRefusedInWords()
    {
        var problem = Problem(1) with { Fixed = [new FixedLoan("first", "kit-1", Day(0), Day(6)), new FixedLoan("second", "kit-1", Day(5), Day(9))] };

        Assert.Contains("two loans at once", Assert.Throws<ArgumentException>(() => Run(problem)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void TheSolverFindsWhatTryingEverythingFinds()
    {
        var property = Prop.ForAll(Gen.Choose(1, int.MaxValue - 1).ToArbitrary(), seed =>
        {
            var problem = Tiny(seed);
            var outcome = Run(problem);

            Assert.Empty(PlanJudge.Faults(problem, outcome.Plan));
            Assert.Equal(BruteForce.Best(problem), outcome.Score);
            Assert.True(outcome.Bound.Proven);
        });

        Check.One(Config.QuickThrowOnFailure.WithMaxTest(40).WithReplay(2, 3), property);
    }

    [Fact]
    public void SpansKeepTheRulesStayWithinTheBoundAndComeAgainFromTheSeed()
    {
        for (var seed = 1; seed <= 2; seed++)
        {
            var problem = PlanGenerator.Generate(new PlanShape { Kits = 8, Requests = 200, Days = 240, HeldShare = 0.4 }, seed);

            var outcome = Run(problem);
            var again = Run(problem);

            Assert.Empty(PlanJudge.Faults(problem, outcome.Plan));
            Assert.True(outcome.Score.CompareTo(outcome.FirstCome) < 0, $"seed {seed}: {outcome.Score} against {outcome.FirstCome}");
            Assert.True(outcome.Bound.UnplacedWeight <= outcome.Score.UnplacedWeight);
            Assert.Equal(2, outcome.Rounds);
            Assert.Equal(outcome.Plan.Loans, again.Plan.Loans);
            Assert.Equal(outcome.Plan.Calibrations, again.Plan.Calibrations);
        }
    }

    [Fact]
    public void TheBoundOfTheRelaxedProblemIsNeverAboveTheOptimum()
    {
        for (var seed = 1; seed <= 40; seed++)
        {
            var problem = Tiny(seed);
            var best = Run(problem).Score;
            using var bounds = new FleetBounds(new PlanIndex(problem), best.UncoveredDays);

            Assert.True(bounds.LeastUnplacedWeight(TestContext.Current.CancellationToken) <= best.UnplacedWeight);
            Assert.True(bounds.LeastLateness(best.UnplacedWeight, TestContext.Current.CancellationToken) <= best.Lateness);
        }
    }

    [Fact]
    public void StoppingGivesTheBestPlanSoFar()
    {
        var problem = PlanGenerator.Generate(new PlanShape { Requests = 300 }, 1);
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        FleetSearchProgress? last = null;

        var outcome = new FleetSearch(TimeProvider.System).Run(problem, _settings with { MostRounds = null, Seconds = 3000 }, Hear, stop.Token);

        void Hear(FleetSearchProgress progress)
        {
            last = progress;
            if (progress.Score.CompareTo(PlanJudge.Score(problem, FirstComePlanner.Plan(problem))) < 0)
            {
                stop.Cancel();
            }
        }

        Assert.True(outcome.Stopped);
        Assert.True(outcome.Score.CompareTo(outcome.FirstCome) < 0);
        Assert.True(outcome.Score.CompareTo(last!.Score) <= 0);
        Assert.Empty(PlanJudge.Faults(problem, outcome.Plan));
    }

    [Fact]
    public void StoppedBeforeItBeganItGivesThePlanOfTheOrderOfAsking()
    {
        var problem = PlanGenerator.Generate(new PlanShape { Requests = 300 }, 1);

        var outcome = new FleetSearch(TimeProvider.System).Run(problem, _settings, null, new CancellationToken(canceled: true));

        Assert.True(outcome.Stopped);
        Assert.Equal(outcome.FirstCome, outcome.Score);
    }

    [Fact]
    public void OneMoreKitServesWhoWentWithout()
    {
        var problem = Problem(1, Request("a", 0, 1, 10), Request("b", 0, 9, 10), Request("c", 0, 9, 11));

        var more = Assert.Single(Run(problem, _settings with { SecondsForOneMoreKit = 60 }).OneMore);

        Assert.Equal(1, more.PlacedMore);
        Assert.Equal(9, more.WeightMore);
        Assert.Equal(9, more.WeightMoreAtMost);
    }

    private static FleetOutcome Run(PlanProblem problem, FleetSearchSettings? settings = null) =>
        new FleetSearch(TimeProvider.System).Run(problem, settings ?? _settings, null, TestContext.Current.CancellationToken);

    private static DateOnly Day(int day) => _start.AddDays(day);

    private static PlanKit Kit(int number, int lastDay = 1000, params string[] can) => new($"kit-{number}", new HashSet<string>(can.Length == 0 ? ["air"] : can, StringComparer.Ordinal), _start, Day(lastDay));

    private static LoanWindow Window(int session) => new(Day(session), Day(session - 2), Day(session + 3));

    private static PlanRequest Request(string id, int asked, int weight, params int[] sessions) =>
        new(id, new HashSet<string>(["air"], StringComparer.Ordinal), new UrgencyClass("urgency", 30, weight), Day(asked), Day(sessions[0]), [.. sessions.Select(Window)]);

    private static PlanProblem Problem(int kits, params PlanRequest[] requests) => new()
    {
        From = _start,
        Until = Day(40),
        Kits = [.. Enumerable.Range(1, kits).Select(number => Kit(number))],
        Requests = requests,
        Calibration = new CalibrationTerms(7, 30, 1, [.. Enumerable.Range(0, 6).Select(week => Day(7 * week))]),
    };

    /// <summary>Up to two kits and four requests within three weeks, with holds, fixed loans, promises, and certificates that end.</summary>
    private static PlanProblem Tiny(int seed)
    {
        var random = new Random(seed);
        var kits = Enumerable.Range(1, random.Next(1, 3)).Select(number => Kit(number, random.Next(3, 30), random.Next(2) == 0 ? ["air"] : ["air", "bone"]) with
        {
            Away = random.Next(4) == 0 ? [new KitAway(Day(random.Next(8, 20)), random.Next(2) == 0 ? null : Day(22), AwayReason.Hold, "held")] : [],
        }).ToList();
        var requests = Enumerable.Range(0, random.Next(1, 5)).Select(number =>
        {
            var sessions = Enumerable.Range(0, random.Next(1, 4)).Select(_ => random.Next(1, 22)).Distinct().Order().ToArray();
            return Request($"r{number}", random.Next(0, 3), random.Next(1, 4), sessions) with
            {
                Needs = new HashSet<string>(random.Next(3) == 0 ? ["air", "bone"] : ["air"], StringComparer.Ordinal),
                PromisedDay = random.Next(3) == 0 ? Day(sessions[^1]) : null,
            };
        }).ToArray();
        return new PlanProblem
        {
            From = _start,
            Until = Day(24),
            Kits = kits,
            Requests = requests,
            Fixed = random.Next(3) == 0 ? [new FixedLoan("sent", "kit-1", Day(-2), Day(random.Next(1, 6)))] : [],
            Calibration = new CalibrationTerms(4, 14, 1, [Day(0), Day(4), Day(9), Day(14)]),
        };
    }
}
