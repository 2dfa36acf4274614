using TeleHearing.Logistics.Booking;
using TeleHearing.Logistics.Calendars;
using TeleHearing.Logistics.Fleet;
using TeleHearing.Logistics.Simulation;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Simulation;

/// <summary>Played years held against Erlang's formula, which shares nothing with them. Seeds are fixed, intervals are 99.9 %.</summary>
public sealed class LoanSimulationTests
{
    private const double Confidence = 0.999;

    public static TheoryData<double, int, string> Cases
    {
        get
        {
            var data = new TheoryData<double, int, string>();
            foreach (var (load, kits) in new[] { (1.0, 1), (2.286, 5), (4.571, 5), (4.571, 9), (10.0, 15) })
            {
                foreach (var shape in new[] { "even", "exponential", "narrow", "wide" })
                {
                    data.Add(load, kits, shape);
                }
            }

            return data;
        }
    }

    [Theory]
    [MemberData(nameof(Cases))]
    public void TheShareRefusedIsErlangsWhateverTheDistributionOfCycles(double load, int kits, string shape)
    {
        CycleTime cycle = shape switch
        {
            "even" => new CycleTime.Even(16),
            "exponential" => new CycleTime.Exponential(16),
            "narrow" => new CycleTime.LogNormal(16, 0.3),
            _ => new CycleTime.LogNormal(16, 1),
        };

        // About as many loans whatever the load, so that all intervals are about as narrow.
        var years = (int)Math.Ceiling(2000 / load);
        var result = new LoanSimulation(load * 7 / 16, kits, cycle, 365).Run(years, 20260311, Confidence, TestContext.Current.CancellationToken);

        Assert.InRange(ErlangB.Refused(load, kits), result.Refused.Low, result.Refused.High);
        Assert.True(result.Refused.High - result.Refused.Low < 0.03, "An interval this wide would hold anything.");
        Assert.InRange(result.MeanCycleDays!.Value, 15.5, 16.5);
    }

    [Fact]
    public void NineteenOfTwentyIntervalsHoldTheTruth()
    {
        var truth = ErlangB.Refused(4.571, 5);
        var simulation = new LoanSimulation(4.571 * 7 / 16, 5, new CycleTime.Exponential(16), 365);

        var held = Enumerable.Range(1, 200)
            .Select(seed => simulation.Run(20, seed, 0.95, TestContext.Current.CancellationToken).Refused)
            .Count(share => share.Low <= truth && truth <= share.High);

        // 190 expected; outside 178 to 199 once in some thousand times (binomial).
        Assert.InRange(held, 178, 199);
    }

    /// <summary>
    /// Where every day works, a loan asked for during a day has its kit from the beginning of that day for a whole number of days: at any moment there are the loans
    /// asked for since between that number less one and that number of days, so the share lies between Erlang's for these two lengths.
    /// </summary>
    [Fact]
    public void BookedCyclesWithoutFreeDaysLieBetweenTheFormulasOfTheirLength()
    {
        var everyDay = CalendarPair.Same(WorkCalendar.From(new CalendarRules("every day", [], [])));
        var cycle = new CycleTime.Booked(On("2026-01-01"), new BookingDays(1, 3, 1, 3, 2), everyDay);

        var result = new LoanSimulation(2, 4, cycle, 365).Run(400, 7, Confidence, TestContext.Current.CancellationToken);

        Assert.Equal(12, result.MeanCycleDays!.Value, 9);
        Assert.InRange(result.Refused.Value, ErlangB.Refused(Load.Offered(2, 11), 4), ErlangB.Refused(Load.Offered(2, 12), 4));
    }

    [Fact]
    public void WeekendsAndHolidaysLengthenCyclesAndRefuseMore()
    {
        CalendarPair[] ends =
        [
            CalendarPair.Same(WorkCalendar.From(new CalendarRules("every day", [], []))),
            CalendarPair.Same(Plain),
            CalendarPair.Same(WorkCalendar.From(CalendarRules.MondayToFriday("shut in summer and winter") with
            {
                Holidays = [.. Enumerable.Range(0, 14).SelectMany(i => new[] { new Holiday(On("2026-12-20").AddDays(i), "winter"), new Holiday(On("2026-08-01").AddDays(i), "summer") })],
            })),
        ];

        var results = ends.Select(pair => new LoanSimulation(2, 5, new CycleTime.Booked(On("2026-01-01"), new BookingDays(1, 3, 1, 3, 2), pair), 365)
            .Run(200, 3, Confidence, TestContext.Current.CancellationToken)).ToList();

        Assert.True(results[0].Refused.High < results[1].Refused.Low);
        Assert.True(results[1].Refused.High < results[2].Refused.Low);
        Assert.InRange(results[1].MeanCycleDays!.Value, 16, 18);
        Assert.True(results[2].MeanCycleDays > results[1].MeanCycleDays);
    }

    [Fact]
    public void TheSameSeedGivesTheSameYearsAndAnotherSeedOthers()
    {
        var simulation = new LoanSimulation(2, 5, new CycleTime.LogNormal(16, 0.5), 365);

        var (one, again, other) = (Run(1), Run(1), Run(2));

        Assert.Equal(one, again);
        Assert.NotEqual(one.Refused.Value, other.Refused.Value);

        LoanSimulationResult Run(int seed) => simulation.Run(10, seed, 0.95, TestContext.Current.CancellationToken);
    }

    [Fact]
    public void NoKitsRefuseAllAndManyRefuseNothing()
    {
        Assert.Equal(1, new LoanSimulation(2, 0, new CycleTime.Even(16), 365).Run(5, 1, 0.95, TestContext.Current.CancellationToken).Refused.Value);
        Assert.Null(new LoanSimulation(2, 0, new CycleTime.Even(16), 365).Run(5, 1, 0.95, TestContext.Current.CancellationToken).MeanCycleDays);
        Assert.Equal(0, new LoanSimulation(2, 100, new CycleTime.Even(16), 365).Run(5, 1, 0.95, TestContext.Current.CancellationToken).Refused.Value);
    }

    [Fact]
    public void YearsInWhichNobodyAskedSayNothing()
    {
        var result = new LoanSimulation(1e-6, 1, new CycleTime.Even(1), 1).Run(5, 1, 0.95, TestContext.Current.CancellationToken);

        Assert.Equal((0L, 0.0, 1.0), (result.AskedFor, result.Refused.Low, result.Refused.High));
    }

    [Fact]
    public void DrawsHaveTheMeanAndVariationAskedFor()
    {
        var random = new Random(5);
        var draws = Enumerable.Range(0, 200_000).Select(_ => Draws.LogNormal(random, 16, 0.5)).ToList();
        var mean = draws.Average();

        Assert.Equal(16, mean, 0.1);
        Assert.Equal(8, Math.Sqrt(draws.Average(draw => Math.Pow(draw - mean, 2))), 0.2);
    }

    [Fact]
    public void WhatCannotBePlayedIsRefusedAllAtOnce()
    {
        var wrong = new LoanSimulation(double.NaN, -1, new CycleTime.LogNormal(-1, double.NaN), 0);

        Assert.Equal(["LoansPerWeek", "Kits", "DaysPerYear", "years", "MeanDays", "Variation"], wrong.Faults(1).Select(fault => fault.Field));
        Assert.Throws<ArgumentOutOfRangeException>(() => wrong.Run(1, 1, 0.95, TestContext.Current.CancellationToken));
        Assert.Equal(["years"], new LoanSimulation(10_000, 1, new CycleTime.Even(16), 365).Faults(1000).Select(fault => fault.Field));
        Assert.Equal(["Cycle"], new LoanSimulation(1, 1, null!, 365).Faults(10).Select(fault => fault.Field));
        Assert.Equal(["SettleDays"], new CycleTime.Booked(On("2026-01-01"), new BookingDays(-1, 1, 1, 1, 1), CalendarPair.Same(Plain)).Faults().Select(fault => fault.Field));
        Assert.Equal(["FirstDay"], new CycleTime.Booked(default, new BookingDays(1, 1, 1, 1, 1), CalendarPair.Same(Plain)).Faults().Select(fault => fault.Field));
    }

    [Fact]
    public void ALongRunCanBeEndedEarly() =>
        Assert.Throws<OperationCanceledException>(() => new LoanSimulation(2, 5, new CycleTime.Even(16), 365).Run(10_000, 1, 0.95, new CancellationToken(true)));
}
