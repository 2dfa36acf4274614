using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Tests.Calibration;

/// <summary>A laboratory's certificate as a file: what is read, and what is refused with its line and column.</summary>
public sealed class CertificateFileTests
{
    [Fact]
    public void AWholeCertificateIsRead()
    {
        var record = Certificates.Record();

        Assert.Equal(("INV-3391", "AU-1140", "CE-2207"), (record.CertificateId, record.UnitSerial, record.TransducerSerial));
        Assert.Equal("Alder Lane Acoustics, invented", record.Laboratory);
        Assert.Equal((TransducerKind.Circumaural, Coupler.Iec60318Part1WithFlatPlate), (record.TransducerKind, record.Coupler));
        Assert.Equal((new DateOnly(2026, 11, 2), new DateOnly(2027, 11, 1)), (record.CalibratedOn, record.ValidUntil));
        Assert.Equal((22.4, 100.9, "Fernhill clinic"), (record.TemperatureC!.Value, record.PressureKPa!.Value, record.Site));
        Assert.Equal(2 * AudiometricFrequency.All.Count, record.Entries.Count);
        Assert.Equal(new CalibrationEntry(Ear.Left, 4000, 130.0, 90) { UncertaintyDb = 0.7 }, record.Find(Ear.Left, AudiometricFrequency.FromHertz(4000)));
        Assert.Empty(CalibrationRules.Faults(record, Certificates.Today, "AU-1140", "CE-2207"));
    }

    [Theory]
    [InlineData("\r\n")]
    [InlineData("\n\n# a remark of the laboratory\n")]
    public void LineEndsAndRemarksDoNotMatter(string separator) =>
        Assert.Equal(Certificates.Record(), Certificates.Record("\uFEFF" + string.Join(separator, Certificates.Lines())));

    [Fact]
    public void CellsLeftEmptyByASpreadsheetDoNotMatter() =>
        Assert.Equal(Certificates.Record(), Certificates.Record(Certificates.Text(lines =>
        {
            for (var index = 0; index < 11; index++)
            {
                lines[index] += ",,,";
            }

            lines.Insert(11, ",,,,");
        })));

    [Fact]
    public void AnAltitudeStandsForItsPressure()
    {
        var record = Certificates.Record(Certificates.Text(lines => lines[9] = "altitude_m,668"));

        Assert.Equal(93.6, record.PressureKPa!.Value, 1);
    }

    [Theory]
    [InlineData("coupler", "iec-60318-4", 8, "IEC 60318-4 occluded-ear simulator has no reference thresholds for circumaural earphones")]
    [InlineData("coupler", "2 cc", 8, "is not known")]
    [InlineData("transducer_kind", "speaker", 7, "is not known")]
    [InlineData("calibrated_on", "02/11/2026", 3, "is not a date")]
    [InlineData("valid_until", "2026-11-01", 4, "ends before")]
    [InlineData("temperature_c", "72", 9, "cannot be right")]
    [InlineData("temperature_c", "NaN", 9, "is not a number")]
    [InlineData("pressure_kpa", "1009", 10, "cannot be right")]
    [InlineData("unit_serial", "", 5, "missing or empty")]
    public void AFieldThatCannotBeRightIsNamedWithItsLine(string field, string value, int line, string expected)
    {
        var fault = Assert.Single(Certificates.Faults(Certificates.WithField(field, value)));

        Assert.Equal((line, field), (fault.Line, fault.Column));
        Assert.Contains(expected, fault.Sentence, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("right,1000,30.8,90,0.7", "spl_at_full_scale_db")]
    [InlineData("right,1000,NaN,90,0.7", "spl_at_full_scale_db")]
    [InlineData("right,1000,1e999,90,0.7", "spl_at_full_scale_db")]
    [InlineData("right,1000,130.8,900,0.7", "maximum_db_hl")]
    [InlineData("right,1000,130.8,90,-0.7", "uncertainty_db")]
    [InlineData("right,1000,130.8,90,70", "uncertainty_db")]
    [InlineData("right,1001,130.8,90,0.7", "frequency_hz")]
    [InlineData("middle,1000,130.8,90,0.7", "ear")]
    [InlineData("right,1000,130.8,90", "")]
    [InlineData("right,1000,61.0,90,0.7", "maximum_db_hl")]
    public void AValueThatCannotBeRightIsNamedWithLineAndColumn(string row, string column)
    {
        var text = Certificates.Text(lines => lines[16] = row);

        var fault = Assert.Single(Certificates.Faults(text));

        Assert.Equal((17, column), (fault.Line, fault.Column));
    }

    [Fact]
    public void AFrequencyMissingAtOneEarIsAFault()
    {
        var fault = Assert.Single(Certificates.Faults(Certificates.Text(lines => lines.RemoveAll(line => line.StartsWith("left,750,", StringComparison.Ordinal)))));

        Assert.Equal("The left ear has no row for 750 Hz. Add a row that begins left,750,", fault.ToString());
    }

    [Fact]
    public void AFrequencyEveryTestNeedsIsMissingAtBothEars()
    {
        var faults = Certificates.Faults(Certificates.Text(lines => lines.RemoveAll(line => line.Contains(",3000,", StringComparison.Ordinal))));

        Assert.Equal(
            ["The left ear has no row for 3000 Hz. Add a row that begins left,3000,", "The right ear has no row for 3000 Hz. Add a row that begins right,3000,"],
            faults.Select(fault => fault.ToString()).Order());
    }

    [Fact]
    public void EverythingWrongIsSaidAtOnce()
    {
        var faults = Certificates.Faults(Certificates.Text(lines =>
        {
            lines[2] = "calibrated_on,yesterday";
            lines[7] = "coupler,iec-60318-3";
            lines[14] = "right,500,9,90,0.7";
            lines[15] = "right,750,130.8,90,loud";
            lines.Add("left,8000,130.0,90,0.7");
        }));

        Assert.Equal([3, 8, 15, 16, 35], faults.Select(fault => fault.Line));
    }

    [Fact]
    public void EveryKindAndCouplerHasANameThatIsReadBack()
    {
        Assert.All(Enum.GetValues<TransducerKind>(), kind => Assert.Equal(kind, GearNames.FindKind(GearNames.Written(kind))));
        Assert.All(Enum.GetValues<Coupler>(), coupler => Assert.Equal(coupler, GearNames.FindCoupler(GearNames.Written(coupler))));
    }

    [Fact]
    public void AnEarphoneForHighFrequenciesNeedsNoLowOnes()
    {
        // ISO 389-5: 8 to 16 kHz only.
        var record = Certificates.Record(Certificates.Text(lines =>
        {
            lines.RemoveRange(12, lines.Count - 12);
            (lines[6], lines[7]) = ("transducer_kind,high-frequency-insert", "coupler,iec-60318-4");
            foreach (var hertz in new[] { 8000, 9000, 16000 })
            {
                lines.Add($"right,{hertz},125,40,1.2");
                lines.Add($"left,{hertz},125,40,1.2");
            }
        }));

        Assert.Equal(6, record.Entries.Count);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void AFileWithSemicolonsIsExplainedOnceAndNothingElseIsSaidOfIt(bool decimalCommas)
    {
        var text = "# a remark; of the laboratory\n" + Certificates.Text().Replace(',', ';');

        var fault = Assert.Single(Certificates.Faults(decimalCommas ? text.Replace('.', ',') : text, Certificates.Expected));

        Assert.Equal(2, fault.Line);
        Assert.Contains("separated by semicolons here and in 33 lines more", fault.Sentence, StringComparison.Ordinal);
        Assert.Contains("Save it with commas", fault.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void ASemicolonInAValueSeparatesNothing() =>
        Assert.Equal("Room 3; left wing", Certificates.Record(Certificates.WithField("site", "Room 3; left wing")).Site);

    [Theory]
    [InlineData("")]
    [InlineData("PK\u0003\u0004 not text")]
    [InlineData("{\"certificateId\":\"x\"}")]
    public void AFileThatIsNoCertificateIsRefused(string text) => Assert.NotEmpty(Certificates.Faults(text));

    [Fact]
    public void ACertificateOfOtherGearIsRefused()
    {
        var faults = Certificates.Faults(Certificates.Text(), Certificates.Expected with { UnitSerial = "AU-1", TransducerSerial = "CE-9", TransducerKind = TransducerKind.Insert });

        Assert.Equal(["unit_serial", "transducer_serial", "transducer_kind"], faults.Select(fault => fault.Column));
    }

    [Theory]
    [InlineData("unit_serial", "AU-9999")]
    [InlineData("transducer_serial", "CE-9999")]
    [InlineData("transducer_kind", "supra-aural")]
    public void AWrongWordAboutTheGearIsOneFaultThoughTheGearIsKnownFromItsRecords(string field, string value)
    {
        var known = Enumerable.Range(1, 3).Select(number => Certificates.Record() with { CertificateId = $"INV-{number}", CalibratedOn = new DateOnly(2026, number, 2) });
        var text = Certificates.WithField(field, value);

        var faults = Certificates.Faults(text, Certificates.Expected with { Known = [.. known], InUse = Certificates.Record() with { CertificateId = "INV-3000" } });

        Assert.Equal(field, Assert.Single(faults, fault => fault.Column != "coupler").Column);
    }

    [Fact]
    public void AConflictIsSaidOnceHoweverManyRecordsHoldIt()
    {
        var other = Enumerable.Range(1, 3).Select(number => Certificates.Record() with { UnitSerial = "AU-2000", CertificateId = $"INV-{number}" });

        Assert.Single(Certificates.Faults(Certificates.Text(), Certificates.Expected with { Known = [.. other] }));
    }

    [Fact]
    public void AFieldThatIsNotThereIsNamedWithoutALine()
    {
        var fault = Assert.Single(Certificates.Faults(Certificates.Text(lines => lines.RemoveAll(line => line.StartsWith("unit_serial,", StringComparison.Ordinal)))));

        Assert.Equal("unit_serial: The field is missing or empty.", fault.ToString());
    }

    [Fact]
    public void ASerialKnownOnAnotherUnitOrAsAnotherKindIsRefused()
    {
        var other = Certificates.Record() with { UnitSerial = "AU-2000", CertificateId = "INV-1" };
        var insert = Certificates.Record() with { TransducerKind = TransducerKind.Insert, CertificateId = "INV-2" };

        var faults = Certificates.Faults(Certificates.Text(), Certificates.Expected with { Known = [other, insert] });

        Assert.Equal(2, faults.Count(fault => fault is { Column: "transducer_serial", Line: 6 }));
    }

    [Fact]
    public void ACertificateNumberTakenByAnotherCalibrationIsRefused()
    {
        var earlier = Certificates.Record() with { CalibratedOn = new DateOnly(2026, 8, 2) };

        var fault = Assert.Single(Certificates.Faults(Certificates.Text(), Certificates.Expected with { InUse = earlier }));

        Assert.Equal("certificate_id", fault.Column);
    }

    [Theory]
    [InlineData("2026-12-01", "2027-06-01", "after today")]
    [InlineData("2026-08-01", "2026-11-01", "ended on")]
    [InlineData("2026-08-01", "2027-08-01", "older than the 3 months")]
    public void DatesAreHeldAgainstToday(string made, string ends, string expected)
    {
        var text = Certificates.Text(lines => (lines[2], lines[3]) = ($"calibrated_on,{made}", $"valid_until,{ends}"));

        Assert.Contains(expected, Assert.Single(Certificates.Faults(text, Certificates.Expected)).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void AnOlderCertificateDoesNotReplaceANewerOne()
    {
        var newer = Certificates.Record() with { CertificateId = "INV-4000", CalibratedOn = new DateOnly(2026, 11, 20) };

        Assert.Contains("is newer", Assert.Single(Certificates.Faults(Certificates.Text(), Certificates.Expected with { InUse = newer })).Sentence, StringComparison.Ordinal);
    }
}
