using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;

namespace TeleHearing.Audiology.Tests.Calibration;

/// <summary>A new calibration beside the one in use.</summary>
public sealed class CertificateComparisonTests
{
    private static readonly CalibrationRecord _inUse = Certificates.Record() with { CertificateId = "INV-2870", CalibratedOn = new DateOnly(2026, 8, 5) };

    [Fact]
    public void ARecordThatRepeatsTheOldValuesAsksNothing() => Assert.Empty(CertificateComparison.Questions(_inUse, Shifted(0.2)));

    [Fact]
    public void OtherValuesUnderTheNumberInUseAreAsked()
    {
        var altered = _inUse with { Entries = [.. _inUse.Entries.Select(entry => entry is { Ear: Ear.Right, FrequencyHz: 2000 } ? entry with { SplAtFullScaleDb = entry.SplAtFullScaleDb + 1 } : entry)] };

        Assert.Contains("in use already, with other values", Assert.Single(CertificateComparison.Questions(_inUse, altered)), StringComparison.Ordinal);
        Assert.Empty(CertificateComparison.Questions(_inUse, _inUse));
        Assert.Empty(CertificateComparison.Questions(_inUse, altered with { CertificateId = "INV-3391" }));
    }

    [Fact]
    public void ExchangedEarsAreSeen()
    {
        var swapped = Certificates.Record() with { Entries = [.. Certificates.Record().Entries.Select(entry => entry with { Ear = entry.Ear == Ear.Left ? Ear.Right : Ear.Left, SplAtFullScaleDb = entry.SplAtFullScaleDb + 0.2 })] };

        Assert.True(CertificateComparison.LooksSwapped(_inUse, swapped));
        Assert.Contains("Left and right look exchanged", Assert.Single(CertificateComparison.Questions(_inUse, swapped)), StringComparison.Ordinal);
    }

    [Fact]
    public void EqualChannelsAreNeverCalledExchanged()
    {
        var equal = _inUse with { Entries = [.. _inUse.Entries.Select(entry => entry with { SplAtFullScaleDb = 130 })] };
        var oneMoved = equal with { Entries = [.. equal.Entries.Select(entry => entry is { Ear: Ear.Left, FrequencyHz: 8000 } ? entry with { SplAtFullScaleDb = 131 } : entry)] };

        Assert.False(CertificateComparison.LooksSwapped(equal, equal));
        Assert.False(CertificateComparison.LooksSwapped(equal, oneMoved));
        Assert.False(CertificateComparison.LooksSwapped(null, oneMoved));
    }

    [Theory]
    [InlineData(4000, 3.0, false)]
    [InlineData(4000, 3.1, true)]
    [InlineData(4000, -3.1, true)]
    [InlineData(8000, 5.0, false)]
    [InlineData(8000, 5.1, true)]
    public void AChangeBeyondTheToleranceOfAnAudiometerIsAsked(int hertz, double shift, bool asked)
    {
        // Tolerances: IEC 60645-1, 3 dB to 4 kHz and 5 dB above, as quoted in ISO 8253-1:2010, A.3.3 (second hand).
        var moved = Certificates.Record() with { Entries = [.. Certificates.Record().Entries.Select(entry => entry.FrequencyHz == hertz && entry.Ear == Ear.Right ? entry with { SplAtFullScaleDb = entry.SplAtFullScaleDb + shift } : entry)] };

        Assert.Equal(asked, CertificateComparison.Questions(_inUse, moved).Count > 0);
        Assert.Equal(asked, CertificateComparison.Changes(_inUse, moved).Any(change => change.IsOutOfTolerance));
    }

    [Fact]
    public void PointsThatWouldGoAreNamed()
    {
        var fewer = Certificates.Record() with { Entries = [.. Certificates.Record().Entries.Where(entry => entry.FrequencyHz != 125)] };

        var question = Assert.Single(CertificateComparison.Questions(_inUse, fewer));

        Assert.Contains("right 125 Hz, left 125 Hz", question, StringComparison.Ordinal);
    }

    [Fact]
    public void AirOutsideTheSpecifiedRangeIsFlagged()
    {
        var high = Certificates.Record() with { PressureKPa = 89.4, TemperatureC = 12 };

        var questions = CertificateComparison.Questions(_inUse, high);

        Assert.Equal(2, questions.Count);
        Assert.Contains("89.4 kPa", questions[0], StringComparison.Ordinal);
        Assert.Contains("104", questions[0], StringComparison.Ordinal);
    }

    [Fact]
    public void AFirstRecordIsAllNew()
    {
        var changes = CertificateComparison.Changes(null, Certificates.Record());

        Assert.All(changes, change => Assert.True(change is { BeforeDb: null, ShiftDb: null, IsOutOfTolerance: false }));
        Assert.Empty(CertificateComparison.Questions(null, Certificates.Record()));
    }

    [Theory]
    [InlineData(1000, -20, true, true)]
    [InlineData(1000, 20, true, true)]
    [InlineData(1000, -14, true, false)]
    [InlineData(1000, -10.8, true, false)]
    [InlineData(1000, -9, false, false)]
    [InlineData(125, -20, true, false)]
    [InlineData(8000, 20, true, false)]
    public void APointThatDoesNotGoWithTheRestOfItsRecordIsAskedThoughThereIsNoRecordBefore(int hertz, double shift, bool ears, bool neighbours)
    {
        // The left ear is 0.8 dB below the right one everywhere; 10 dB between ears and 15 dB from the neighbours are choices of this tool.
        var odd = With(Ear.Left, shift, hertz);

        var questions = CertificateComparison.Questions(null, odd);

        Assert.Equal(ears, questions.Any(question => question.Contains($"The ears differ by more than 10 dB: {hertz} Hz, ", StringComparison.Ordinal)));
        Assert.Equal(neighbours, questions.Any(question => question.Contains($"neighbours: left {hertz} Hz, ", StringComparison.Ordinal)));
        Assert.Equal((ears ? 1 : 0) + (neighbours ? 1 : 0), questions.Count);
    }

    [Fact]
    public void APointWrongAtBothEarsIsSeenByItsNeighboursAloneAndTheyAreNotBlamed()
    {
        var odd = With(Ear.Left, -40, 1000);
        odd = odd with { Entries = [.. odd.Entries.Select(entry => entry is { Ear: Ear.Right, FrequencyHz: 1000 } ? entry with { SplAtFullScaleDb = Certificates.RightDb - 40 } : entry)] };

        var question = Assert.Single(CertificateComparison.Questions(null, odd));

        Assert.Contains("neighbours: right 1000 Hz, 90.8 dB, is 40.0 dB below; left 1000 Hz, 90.0 dB, is 40.0 dB below. ", question, StringComparison.Ordinal);
        Assert.DoesNotContain("750 Hz", question, StringComparison.Ordinal);
        Assert.DoesNotContain("1500 Hz", question, StringComparison.Ordinal);
    }

    [Fact]
    public void AnOddPointIsAskedAlsoWhenTheRecordBeforeHadIt()
    {
        var odd = With(Ear.Left, -20, 1000);

        Assert.Equal(2, CertificateComparison.Questions(odd with { CertificateId = "INV-2870" }, odd).Count);
    }

    [Fact]
    public void AnEarphoneThatRollsOffEvenlyIsNotAsked()
    {
        // 12 dB an octave above 2 kHz at both ears: steeper than an earphone is.
        var rolled = Certificates.Record() with { Entries = [.. Certificates.Record().Entries.Select(entry => entry with { SplAtFullScaleDb = entry.SplAtFullScaleDb - (12 * Math.Max(0, Math.Log2(entry.FrequencyHz / 2000.0))) })] };

        Assert.Empty(CertificateComparison.Questions(null, rolled));
    }

    private static CalibrationRecord With(Ear ear, double shift, int hertz) =>
        Certificates.Record() with { Entries = [.. Certificates.Record().Entries.Select(entry => entry.Ear == ear && entry.FrequencyHz == hertz ? entry with { SplAtFullScaleDb = entry.SplAtFullScaleDb + shift } : entry)] };

    private static CalibrationRecord Shifted(double by) =>
        Certificates.Record() with { Entries = [.. Certificates.Record().Entries.Select(entry => entry with { SplAtFullScaleDb = entry.SplAtFullScaleDb + by })] };
}
