using TeleHearing.Logistics.Fleet;

namespace TeleHearing.Logistics.Tests.Fleet;

/// <summary>Practice reference, section 7 (calculated there).</summary>
public sealed class LossAndAvailabilityTests
{
    [Fact]
    public void TripsBeforeALossAndChanceOfNoneAreThePublishedOnes()
    {
        Assert.Equal(17.9, TripLoss.MeanTrips(0.056), 0.05);
        Assert.Equal(0.316, TripLoss.Survival(0.056, 20), 5e-4);
        Assert.Equal(0.818, TripLoss.Survival(0.01, 20), 5e-4);
        Assert.Equal(1, TripLoss.Survival(0.5, 0));
        Assert.Equal(0, TripLoss.Survival(1, 1));
    }

    [Fact]
    public void LossesOfAYearAreTripsTimesTheChance() =>
        Assert.Equal(0.01 * 2 * 2 * 365.25 / 7, TripLoss.PerYear(0.01, 2, 2), 9);

    [Fact]
    public void AvailabilityIsThePublishedOne()
    {
        Assert.Equal(0.962, Availability.Of(14, 1), 5e-4);
        Assert.Equal(0.847, Availability.Of(14, 4), 5e-4);
        Assert.Equal(1, Availability.Of(0, 4));
    }

    [Fact]
    public void TheFleetIsDividedByItAndRoundedUp()
    {
        Assert.Equal(11, Availability.KitsToOwn(9, Availability.Of(14, 4)));
        Assert.Equal(10, Availability.KitsToOwn(9, 0.9)); // exactly ten, whatever the quotient's last digit
        Assert.Equal(9, Availability.KitsToOwn(9, 1));
        Assert.Equal(0, Availability.KitsToOwn(0, 0.5));
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(-0.01)]
    [InlineData(1.01)]
    public void ChancesThatCannotBeRightAreRefused(double chance)
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => TripLoss.MeanTrips(chance));
        Assert.Throws<ArgumentOutOfRangeException>(() => TripLoss.Survival(chance, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => TripLoss.PerYear(chance, 1, 2));
        Assert.Throws<ArgumentOutOfRangeException>(() => Availability.KitsToOwn(1, chance));
    }

    [Fact]
    public void AKitAwayAllYearIsRefused()
    {
        Assert.Contains("away all year", Assert.Throws<ArgumentOutOfRangeException>(() => Availability.Of(100, 4)).Message, StringComparison.Ordinal);
        Assert.Throws<ArgumentOutOfRangeException>(() => Availability.Of(double.NaN, 1));
        Assert.Throws<ArgumentOutOfRangeException>(() => TripLoss.MeanTrips(0));
        Assert.Throws<ArgumentOutOfRangeException>(() => TripLoss.Survival(0.1, -1));
    }
}
