using System.Text.Json;
using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;

namespace TeleHearing.Audiology.Tests.Levels;

public sealed class CalibrationRulesTests
{
    private static readonly CalibrationRecord _good = CalibrationRecords.Usual();

    [Fact]
    public void ARecordOfThisGearThatHoldsTodayHasNoFault()
    {
        Assert.Empty(Faults(_good));
    }

    [Fact]
    public void NoRecordIsAFault()
    {
        Assert.Equal([LevelFaultCodes.CalibrationMissing], Codes(null));
    }

    [Fact]
    public void ARecordHoldsOnItsLastDayAndNotOnTheNext()
    {
        Assert.Empty(Faults(_good with { ValidUntil = CalibrationRecords.Today }));
        Assert.Equal([LevelFaultCodes.CalibrationExpired], Codes(_good with { ValidUntil = CalibrationRecords.Today.AddDays(-1) }));
    }

    [Fact]
    public void DatesThatCannotBeRightAreFaults()
    {
        Assert.Equal([LevelFaultCodes.CalibrationInvalid], Codes(_good with { CalibratedOn = CalibrationRecords.Today.AddDays(1) }));
        Assert.Contains(LevelFaultCodes.CalibrationInvalid, Codes(_good with { ValidUntil = _good.CalibratedOn.AddDays(-1) }));
    }

    [Fact]
    public void OtherGearIsAMismatchAndBothNumbersAreNamed()
    {
        var faults = CalibrationRules.Faults(_good, CalibrationRecords.Today, "U-2", "T-9");

        Assert.All(faults, fault => Assert.Equal(LevelFaultCodes.CalibrationMismatch, fault.Code));
        Assert.Contains(faults, fault => fault.Sentence.Contains("U-1", StringComparison.Ordinal) && fault.Sentence.Contains("U-2", StringComparison.Ordinal));
        Assert.Contains(faults, fault => fault.Sentence.Contains("T-1", StringComparison.Ordinal) && fault.Sentence.Contains("T-9", StringComparison.Ordinal));
    }

    [Fact]
    public void AnEmptySerialNumberNeverMatches()
    {
        var record = _good with { UnitSerial = string.Empty, TransducerSerial = " " };

        Assert.Equal(2, CalibrationRules.Faults(record, CalibrationRecords.Today, string.Empty, " ").Count);
    }

    [Theory]
    [InlineData(TransducerKind.Insert, Coupler.Iec60318Part1)]
    [InlineData(TransducerKind.SupraAural, Coupler.Iec60318Part4)]
    [InlineData(TransducerKind.Circumaural, Coupler.Iec60318Part1)]
    public void ACouplerThatDoesNotBelongToTheTransducerIsAMismatch(TransducerKind kind, Coupler coupler)
    {
        Assert.Equal([LevelFaultCodes.CalibrationMismatch], Codes(_good with { TransducerKind = kind, Coupler = coupler }));
    }

    [Fact]
    public void AnEarWithoutPointsIsAFault()
    {
        Assert.Equal([LevelFaultCodes.CalibrationMissing], Codes(_good with { Entries = [.. _good.Entries.Where(entry => entry.Ear == Ear.Left)] }));
        Assert.Equal(2, Faults(_good with { Entries = [] }).Count);
    }

    [Theory]
    [InlineData(1000, double.NaN, 90)]
    [InlineData(1000, 0, 90)]
    [InlineData(1000, 300, 90)]
    [InlineData(1000, double.PositiveInfinity, 90)]
    [InlineData(1000, 140, double.NaN)]
    [InlineData(1000, 140, 125)]
    [InlineData(1000, 140, -20)]
    [InlineData(1000, 90, 90)]
    [InlineData(1001, 140, 90)]
    public void ValuesThatCannotBeRightAreFaults(int hertz, double splAtFullScaleDb, double maximumDbHl)
    {
        var record = _good with { Entries = [new(Ear.Left, 500, 140, 90), new(Ear.Right, hertz, splAtFullScaleDb, maximumDbHl)] };

        Assert.Equal([LevelFaultCodes.CalibrationInvalid], Codes(record));
    }

    [Fact]
    public void APointGivenTwiceIsAFault()
    {
        Assert.Equal([LevelFaultCodes.CalibrationInvalid], Codes(_good with { Entries = [.. _good.Entries, _good.Entries[0]] }));
    }

    [Fact]
    public void ARecordReadFromBrokenJsonGivesFaultsAndNoException()
    {
        var record = JsonSerializer.Deserialize<CalibrationRecord>("""{ "Entries": [null] }""");

        Assert.NotEmpty(Faults(record));
        Assert.NotEmpty(Faults(JsonSerializer.Deserialize<CalibrationRecord>("{}")));
    }

    [Fact]
    public void ARecordSurvivesJson()
    {
        Assert.Equal(_good, JsonSerializer.Deserialize<CalibrationRecord>(JsonSerializer.Serialize(_good)));
    }

    [Fact]
    public void EveryFaultSaysWhatToDo()
    {
        var faults = Faults(_good with { ValidUntil = new DateOnly(2020, 1, 1), Coupler = Coupler.Iec60318Part3, Entries = [] });

        Assert.All(faults, fault => Assert.EndsWith(".", fault.Mend, StringComparison.Ordinal));
    }

    [Fact]
    public void CodesAreThoseOfTheWire()
    {
        string[] wire = [.. typeof(RefusalCodes).GetFields().Select(field => (string)field.GetRawConstantValue()!)];

        Assert.All(typeof(LevelFaultCodes).GetFields(), field => Assert.Contains((string)field.GetRawConstantValue()!, wire));
    }

    private static IReadOnlyList<LevelFault> Faults(CalibrationRecord? record) =>
        CalibrationRules.Faults(record, CalibrationRecords.Today, "U-1", "T-1");

    private static IEnumerable<string> Codes(CalibrationRecord? record) => Faults(record).Select(fault => fault.Code);
}
