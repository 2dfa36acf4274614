using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Audiology.Tests.Calibration;

/// <summary>How long a calibration holds, and the pressure at a place.</summary>
public sealed class CalibrationValidityTests
{
    [Theory]
    // 3 months moved, 12 months fixed: South African Code of Practice for Audiometry 7.1.1(b). Never longer than the certificate.
    [InlineData("2026-11-02", "2027-11-01", GearUse.Moved, "2027-02-02")]
    [InlineData("2026-11-02", "2027-11-02", GearUse.Fixed, "2027-11-02")]
    [InlineData("2026-11-02", "2028-11-01", GearUse.Fixed, "2027-11-02")]
    [InlineData("2026-11-02", "2026-12-31", GearUse.Moved, "2026-12-31")]
    [InlineData("2026-11-30", "2027-11-01", GearUse.Moved, "2027-02-28")]
    public void ACalibrationHoldsForItsUseAndNeverPastItsCertificate(string made, string ends, GearUse use, string until)
    {
        var record = Certificates.Record() with { CalibratedOn = Day(made), ValidUntil = Day(ends) };

        Assert.Equal(Day(until), CalibrationValidity.HoldsUntil(record, use));
    }

    [Theory]
    [InlineData("2027-02-02", CalibrationStanding.EndsSoon, 0)]
    [InlineData("2027-02-03", CalibrationStanding.Over, -1)]
    [InlineData("2027-01-19", CalibrationStanding.EndsSoon, 14)]
    [InlineData("2027-01-18", CalibrationStanding.Holds, 15)]
    public void TheLastDayCountsAndTwoWeeksBeforeItIsSaid(string today, CalibrationStanding standing, int days)
    {
        Assert.Equal(standing, CalibrationValidity.Standing(Day("2027-02-02"), Day(today)));
        Assert.Equal(days, CalibrationValidity.DaysLeft(Day("2027-02-02"), Day(today)));
    }

    [Theory]
    [InlineData("2027-02-02", true)]
    [InlineData("2027-02-03", false)]
    public void ALoanIsCoveredToItsLastDayOrNotAtAll(string to, bool covered) =>
        Assert.Equal(covered, CalibrationValidity.Covers(Day("2027-02-02"), new LoanPeriod(Day("2027-01-20"), Day(to))));

    [Theory]
    // Practice reference 1.1, standard atmosphere.
    [InlineData(0, 101.3)]
    [InlineData(280, 98.0)]
    [InlineData(668, 93.6)]
    [InlineData(1045, 89.4)]
    [InlineData(1600, 83.5)]
    public void ThePressureOfAnAltitudeIsThatOfTheStandardAtmosphere(double metres, double kilopascals)
    {
        Assert.Equal(kilopascals, AtmosphericPressure.AtAltitudeKPa(metres), 1);
        Assert.Equal(metres, AtmosphericPressure.AltitudeM(AtmosphericPressure.AtAltitudeKPa(metres)), 6);
    }

    [Theory]
    [InlineData(97.9, false)]
    [InlineData(98.0, true)]
    [InlineData(104.0, true)]
    [InlineData(104.1, false)]
    public void GearIsSpecifiedFrom98To104Kilopascals(double pressure, bool inside)
    {
        Assert.Equal(inside, AtmosphericPressure.IsOperating(pressure));
        Assert.Equal(inside, AtmosphericPressure.Caution(pressure) is null);
    }

    [Theory]
    [InlineData(null, null)]
    [InlineData(101.0, 20.0)]
    [InlineData(1013.0, null)]
    [InlineData(double.NaN, null)]
    [InlineData(null, 9000.0)]
    [InlineData(null, double.NaN)]
    public void APressureThatCannotBeRightIsRefused(double? pressure, double? altitude)
    {
        Assert.NotNull(AtmosphericPressure.Fault(pressure, altitude));
        Assert.Throws<ArgumentException>(() => AtmosphericPressure.Of(pressure, altitude));
    }

    private static DateOnly Day(string text) => DateOnly.ParseExact(text, "yyyy-MM-dd", System.Globalization.CultureInfo.InvariantCulture);
}
