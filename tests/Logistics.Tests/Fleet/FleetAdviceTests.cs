using TeleHearing.Logistics.Fleet;

namespace TeleHearing.Logistics.Tests.Fleet;

public sealed class FleetAdviceTests
{
    private static readonly FleetQuestion _question = new(LoansPerWeek: 2, CycleDays: 16, Availability: Availability.Of(14, 4), RefusedTarget: 0.05);

    [Fact]
    public void TheAdviceIsTheReferencesFleetDividedByTheAvailability()
    {
        var advice = FleetAdvice.For(_question);

        Assert.Equal(32 / 7.0, advice.OfferedLoad, 12);
        Assert.Equal((9, 11), (advice.Kits, advice.KitsToOwn));
        Assert.Equal(9, advice.Table.First(row => row.KeepsTarget).Kits);
        Assert.Equal(Enumerable.Range(3, 10), advice.Table.Select(row => row.Kits));
    }

    [Fact]
    public void ARowHasWhatOtherFormulasGive()
    {
        var row = FleetAdvice.For(_question).Table.Single(row => row.Kits == 5);

        Assert.Equal(0.249, row.Refused, 5e-4);
        Assert.Equal(row.Refused * 2 * 365.25 / 7, row.RefusedPerYear, 9);
        Assert.Equal(32 / 7.0 * (1 - row.Refused) / 5, row.InUse, 12);
        Assert.Equal(ErlangC.Waiting(32 / 7.0, 5), row.Waiting);
        Assert.False(row.KeepsTarget);
        Assert.Null(FleetAdvice.For(_question).Table.Single(one => one.Kits == 4).Waiting);
    }

    [Fact]
    public void ADayLessRefusesFewerAndServesMore()
    {
        var days = FleetAdvice.For(_question).DaysLess;

        Assert.Equal([1, 2, 3], days.Select(one => one.DaysLess));
        Assert.Equal(15, days[0].CycleDays);
        Assert.Equal(ErlangB.Refused(30 / 7.0, 9), days[0].RefusedAtSameKits, 12);
        Assert.True(days[0].RefusedAtSameKits < ErlangB.Refused(32 / 7.0, 9));
        Assert.Equal(0.05, ErlangB.Refused(Load.Offered(days[0].LoansPerWeekAtSameKits, 15), 9), 1e-9);
        Assert.True(days[0].LoansPerWeekAtSameKits > 2);
        // 8 kits at 5 % carry 4.543 (published): so a load of 26/7 after three days less needs 8, and 7 kits carry 3.738 (the same table, from memory).
        Assert.Equal(ErlangB.SmallestFleet(26 / 7.0, 0.05), days[2].Kits);
        Assert.Equal(7, days[2].Kits);
    }

    [Fact]
    public void TheAssumptionsComeWithIt()
    {
        var advice = FleetAdvice.For(_question);

        Assert.Equal(["independent", "leaves", "mean", "shared", "availability", "now"], advice.Assumptions.Select(one => one.Key));
        Assert.All(advice.Assumptions, one => Assert.EndsWith(".", one.Sentence, StringComparison.Ordinal));
    }

    [Fact]
    public void AShortCycleOffersOnlyDaysItHas()
    {
        Assert.Equal([1], FleetAdvice.For(_question with { CycleDays = 2 }).DaysLess.Select(one => one.DaysLess));
        Assert.Empty(FleetAdvice.For(_question with { CycleDays = 0.5 }).DaysLess);
    }

    [Theory]
    [InlineData(double.NaN, 16, 1, 0.05, "LoansPerWeek")]
    [InlineData(0, 16, 1, 0.05, "LoansPerWeek")]
    [InlineData(1e6, 16, 1, 0.05, "LoansPerWeek")]
    [InlineData(9000, 3000, 1, 0.05, "LoansPerWeek")]
    [InlineData(1, -1, 1, 0.05, "CycleDays")]
    [InlineData(1, double.PositiveInfinity, 1, 0.05, "CycleDays")]
    [InlineData(1, 16, 0, 0.05, "Availability")]
    [InlineData(1, 16, 1.1, 0.05, "Availability")]
    [InlineData(1, 16, 1, 0, "RefusedTarget")]
    [InlineData(1, 16, 1, double.NaN, "RefusedTarget")]
    public void AQuestionThatCannotBeAnsweredSaysWhichPart(double loans, double cycle, double availability, double refused, string field)
    {
        var question = new FleetQuestion(loans, cycle, availability, refused);

        Assert.Equal([field], question.Faults().Select(fault => fault.Field));
        Assert.Throws<ArgumentOutOfRangeException>(() => FleetAdvice.For(question));
    }

    [Fact]
    public void AllThatIsWrongIsSaidAtOnce() =>
        Assert.Equal(4, new FleetQuestion(double.NaN, double.NaN, double.NaN, double.NaN).Faults().Count);
}
