using TeleHearing.Logistics.Fleet;
using static TeleHearing.Logistics.Tests.Days;

namespace TeleHearing.Logistics.Tests.Fleet;

public sealed class LoanHistoryTests
{
    private static readonly double[] _cycles = [14, 16, 15, 19, 16];

    [Fact]
    public void RateAndCycleComeWithIntervalsAndTheirMethod()
    {
        var estimate = new LoanHistory(On("2026-01-01"), On("2026-01-01").AddDays(70), 10, _cycles).Estimate(0.95);

        // Ten events: exact interval 4.795 to 18.390 (tables of the Poisson interval; chi-square quantiles / 2).
        Assert.Equal(1, estimate.LoansPerWeek!.Value, 12);
        Assert.Equal(0.4795, estimate.LoansPerWeek.Low, 5e-5);
        Assert.Equal(1.8390, estimate.LoansPerWeek.High, 5e-5);
        Assert.Contains("exact Poisson", estimate.LoansPerWeek.Method, StringComparison.Ordinal);

        // Mean 16, standard deviation sqrt(14/4), t(4) = 2.776 (tables).
        Assert.Equal(16, estimate.CycleDays!.Value, 12);
        Assert.Equal(16 - (2.776 * Math.Sqrt(14.0 / 4 / 5)), estimate.CycleDays.Low, 1e-3);
        Assert.Contains("Student", estimate.CycleDays.Method, StringComparison.Ordinal);
        Assert.Empty(estimate.NotEnough);
    }

    [Theory]
    [InlineData(70, 9, 1)]
    [InlineData(55, 10, 1)]
    [InlineData(56, 10, 0)]
    public void TooShortAHistoryGivesNoRate(int days, int askedFor, int missing)
    {
        var estimate = new LoanHistory(On("2026-01-01"), On("2026-01-01").AddDays(days), askedFor, _cycles).Estimate(0.95);

        Assert.Equal(missing, estimate.NotEnough.Count);
        Assert.Equal(missing == 0, estimate.LoansPerWeek is not null);
        Assert.All(estimate.NotEnough, sentence => Assert.StartsWith("Not enough history for a demand", sentence, StringComparison.Ordinal));
    }

    [Fact]
    public void TooFewFinishedLoansGiveNoCycle()
    {
        var estimate = new LoanHistory(On("2026-01-01"), On("2026-04-01"), 12, [.. _cycles.Take(4)]).Estimate(0.95);

        Assert.Null(estimate.CycleDays);
        Assert.NotNull(estimate.LoansPerWeek);
        Assert.Equal("Not enough history for a cycle: 4 finished loans; at least 5 are wanted.", Assert.Single(estimate.NotEnough));
    }

    [Fact]
    public void RecordsThatCannotBeRightAreRefused()
    {
        var wrong = new LoanHistory(On("2026-04-01"), On("2026-01-01"), -1, [1, 0, double.NaN]);

        Assert.Equal(["Until", "AskedFor", "CycleDays"], wrong.Faults().Select(fault => fault.Field));
        Assert.Throws<ArgumentOutOfRangeException>(() => wrong.Estimate(0.95));
        Assert.Throws<ArgumentOutOfRangeException>(() => new LoanHistory(On("2026-01-01"), On("2026-04-01"), 12, _cycles).Estimate(1));
    }
}
