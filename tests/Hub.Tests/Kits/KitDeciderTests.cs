using TeleHearing.Audiology;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits;

/// <summary>What is recorded about a kit, what it comes to, and what is refused.</summary>
public sealed class KitDeciderTests
{
    private readonly PureKit _kit = new();

    [Fact]
    public void AKitThatToldNothingIsDueAndNotHeld()
    {
        Assert.Empty(_kit.Holds);
        Assert.Equal(3, _kit.Due.Count);
        Assert.Null(_kit.View.Calibration);
    }

    [Fact]
    public void TheSameGearIsAFactOnce()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-10)));
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-10)));

        Assert.Equal(1, _kit.State.Version);
        Assert.Equal(_kit.Today.AddDays(-10).AddMonths(3), _kit.View.Calibration!.HoldsUntil);
        Assert.Empty(_kit.Holds);
    }

    [Fact]
    public void ACalibrationPastItsRuleHoldsTheKitThoughTheCertificateGoesOn()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddMonths(-3)));
        Assert.Empty(_kit.Holds);
        Assert.Contains(_kit.Due, sentence => sentence.Contains("in 0 days", StringComparison.Ordinal));

        _kit.Now = _kit.Now.AddDays(1);

        Assert.Contains("3 months from the day it was made", Assert.Single(_kit.Holds), StringComparison.Ordinal);
        Assert.Equal(CalibrationStanding.Over, _kit.View.Calibration!.Standing);
    }

    [Fact]
    public void TheLaboratoryIsToBeBookedTwoWeeksBefore()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(15).AddMonths(-3)));
        Assert.DoesNotContain(_kit.Due, sentence => sentence.Contains("book the laboratory", StringComparison.Ordinal));

        _kit.Now = _kit.Now.AddDays(1);

        Assert.Contains(_kit.Due, sentence => sentence.Contains("book the laboratory", StringComparison.Ordinal));
    }

    [Fact]
    public void ALoanThatOutlivesTheCalibrationIsRefused()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddMonths(-2)));
        var until = _kit.View.Calibration!.HoldsUntil;

        var loan = LoanId.New();
        Assert.Equal(RefusalCodes.LoanOutlivesCalibration, _kit.Ask(new ReserveKit(loan, _kit.Today, until.AddDays(1), until.AddDays(2), "Mill Lane 4"))!.Code);
        Assert.Null(_kit.Ask(new ReserveKit(loan, _kit.Today, until, until.AddDays(2), "Mill Lane 4")));
        Assert.True(_kit.View.Loan!.Covered);
        Assert.Equal(RefusalCodes.LoanOverlaps, _kit.Ask(new ReserveKit(LoanId.New(), _kit.Today, until, until, "elsewhere"))!.Code);
        Assert.Null(_kit.Ask(new CallOffLoan(loan, "not needed")));
        Assert.Null(_kit.View.Loan);
    }

    [Fact]
    public void AKitThatIsHeldOrUnknownIsNotLent()
    {
        var reserve = new ReserveKit(LoanId.New(), _kit.Today, _kit.Today, _kit.Today, "Mill Lane 4");
        Assert.Equal(RefusalCodes.CertificateMissing, _kit.Ask(reserve)!.Code);
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-5)) with { Calibration = null });
        Assert.Equal(RefusalCodes.KitHeld, _kit.Ask(reserve)!.Code);
    }

    [Fact]
    public void OneTransducerInTwoKitsHoldsBothAndTheUnitIsNamedWhenItIsInBoth()
    {
        var gear = KitSamples.Gear(_kit.Today.AddDays(-5));
        _kit.Tell(gear);
        _kit.Others.Add(KitFold.Apply(KitState.Empty(new KitId("kit-02")), new RecordedFact(1, _kit.Now, new GearReported(gear))));

        Assert.Contains($"Unit {gear.UnitSerial} and transducer {gear.TransducerSerial} are reported by kit-02 as well", Assert.Single(_kit.Holds), StringComparison.Ordinal);

        _kit.Others[0] = KitFold.Apply(KitState.Empty(new KitId("kit-02")), new RecordedFact(1, _kit.Now, new GearReported(gear with { UnitSerial = "ANOTHER" })));

        Assert.StartsWith($"Transducer {gear.TransducerSerial} is reported by kit-02 as well", Assert.Single(_kit.Holds), StringComparison.Ordinal);
    }

    [Theory]
    // 10 and 15 dB: OSHA 29 CFR 1910.95, from memory.
    [InlineData(5, KnownEarVerdict.Passed, 0)]
    [InlineData(10, KnownEarVerdict.CalibrationNeeded, 1)]
    [InlineData(15, KnownEarVerdict.ExhaustiveNeeded, 1)]
    public void AShiftAgainstThePersonsOwnBaselineDecides(double shift, KnownEarVerdict verdict, int lookBacks)
    {
        Calibrated();
        Assert.Null(_kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5))));

        Assert.Null(_kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(5 + shift))));

        Assert.Equal(verdict, Assert.Single(_kit.View.KnownEar.Checks).Verdict);
        Assert.Equal(lookBacks, _kit.View.LookBacks.Count);
        Assert.Equal(lookBacks, _kit.Holds.Count);
    }

    [Fact]
    public void ACheckWithoutABaselineIsRefused()
    {
        Calibrated();
        _kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5)));

        Assert.Equal(RefusalCodes.KnownEarUnknown, _kit.Ask(new RecordKnownEar("E2", KitSamples.Levels(5)))!.Code);
        Assert.Contains("left 8000 Hz", _kit.Ask(new RecordKnownEar("E1", [.. KitSamples.Levels(5), new KnownEarLevel(Ear.Left, 8000, 5)]))!.Sentence, StringComparison.Ordinal);
        Assert.Empty(_kit.View.KnownEar.Checks);
    }

    [Fact]
    public void TheSameEarCannotClearItselfButASecondOneOrACalibrationCan()
    {
        Calibrated();
        _kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5)));
        _kit.Ask(new RecordBaseline("E2", KitSamples.Levels(0)));
        _kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(20)));

        _kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(5)));
        Assert.Single(_kit.Holds);
        Assert.Equal(RefusalCodes.KitHeld, _kit.Ask(new RecordBaseline("E3", KitSamples.Levels(0)))!.Code);

        _kit.Ask(new RecordKnownEar("E2", KitSamples.Levels(5)));
        Assert.Empty(_kit.Holds);

        _kit.Ask(new RecordKnownEar("E2", KitSamples.Levels(25)));
        Assert.Single(_kit.Holds);
        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-3392"));
        Assert.Empty(_kit.Holds);
    }

    [Theory]
    // Days from the failure: the certificate in use was made 20 days before it.
    [InlineData(-30, 1)]
    [InlineData(-20, 1)]
    [InlineData(-1, 1)]
    [InlineData(0, 0)]
    [InlineData(2, 0)]
    public void OnlyACalibrationFromTheDayOfTheFailureOnLiftsIt(int madeDaysAfter, int holds)
    {
        FailedKnownEar();
        var made = _kit.Today.AddDays(madeDaysAfter);
        _kit.Now = _kit.Now.AddDays(3);

        _kit.Tell(KitSamples.Gear(made, "INV-3392"));

        Assert.Equal(holds, _kit.Holds.Count(sentence => sentence.Contains("known-ear check", StringComparison.Ordinal)));
    }

    [Fact]
    public void ACertificateNoNewerThanTheLastOneDoesNotLiftAFailure()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-3392"));
        _kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5)));
        _kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(20)));

        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-3393"));

        Assert.Single(_kit.Holds);
        _kit.Now = _kit.Now.AddDays(1);
        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-3394"));
        Assert.Empty(_kit.Holds);
    }

    [Fact]
    public void FactsThatAreNotWholeHoldTheKit()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-20)));

        Assert.Contains("changed from outside at entry 1", Assert.Single(KitJudgement.Holds(_kit.State with { BrokenAt = 1 }, [], _kit.Today)), StringComparison.Ordinal);
    }

    [Fact]
    public void AFailedCheckListsTheSessionsSinceTheLastGoodOne()
    {
        Calibrated();
        _kit.Session(_kit.Now.AddDays(-60));
        var after = _kit.Session(_kit.Now.AddDays(-5));
        _kit.Session(_kit.Now, SessionStage.Scheduled);
        Assert.Null(_kit.Ask(KitSamples.Function(passed: true)));
        _kit.Now = _kit.Now.AddDays(3);
        var last = _kit.Session(_kit.Now.AddHours(-1), SessionStage.Aborted);

        Assert.Null(_kit.Ask(KitSamples.Function(passed: false)));

        var list = Assert.Single(_kit.View.LookBacks);
        Assert.Equal([last], list.Sessions.Select(row => row.SessionId));
        Assert.Contains("nothing on the other side", list.Reason, StringComparison.Ordinal);
        Assert.Contains(_kit.Holds, sentence => sentence.StartsWith("The last function check failed", StringComparison.Ordinal));

        // A known ear was never good: its list begins with the calibration.
        _kit.Ask(KitSamples.Function(passed: true));
        _kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5)));
        _kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(20)));
        Assert.Equal([after, last], _kit.View.LookBacks[0].Sessions.Select(row => row.SessionId));
    }

    [Fact]
    public void EachSessionOfALookBackIsReviewedWithANote()
    {
        Calibrated();
        var session = _kit.Session(_kit.Now.AddDays(-1));
        _kit.Ask(KitSamples.Function(passed: false));
        var list = _kit.View.LookBacks[0];
        Assert.Equal(1, list.Waiting());

        Assert.Equal(RefusalCodes.LookBackUnknown, _kit.Ask(new ReviewSession(list.Number, SessionId.New(), "unchanged"))!.Code);
        Assert.Equal(RefusalCodes.LookBackUnknown, _kit.Ask(new ReviewSession(list.Number + 1, session, "unchanged"))!.Code);
        Assert.Null(_kit.Ask(new ReviewSession(list.Number, session, "Repeated today, unchanged.")));

        var row = Assert.Single(_kit.View.LookBacks[0].Sessions);
        Assert.Equal(("Repeated today, unchanged.", KitSamples.Coordinator.Name), (row.Note, row.ReviewedBy));
        Assert.Equal(0, _kit.View.LookBacks[0].Waiting());
    }

    [Fact]
    public void AMoveMakesAKnownEarCheckDue()
    {
        Calibrated();
        _kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5)));
        _kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(5)));
        Assert.Null(_kit.View.KnownEar.WhyDue);
        _kit.Now = _kit.Now.AddHours(1);

        _kit.Ask(new RecordMove("Hill clinic", null, 668));

        Assert.Contains("moved", _kit.View.KnownEar.WhyDue, StringComparison.Ordinal);
        Assert.Equal(93.6, _kit.View.Site!.PressureKPa!.Value, 1);
        Assert.Contains("93.6 kPa", _kit.View.Site.Caution, StringComparison.Ordinal);
    }

    [Fact]
    public void ACalibrationThatFindsTheKitOutOfToleranceOpensALookBack()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-80), "INV-1"));
        _kit.Session(_kit.Now.AddDays(-100));
        var doubtful = _kit.Session(_kit.Now.AddDays(-40));

        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-2", shiftDb: -3.5));

        var list = Assert.Single(_kit.View.LookBacks);
        Assert.Equal([doubtful], list.Sessions.Select(row => row.SessionId));
        Assert.Contains("-3.5 dB", list.Reason, StringComparison.Ordinal);
        Assert.Equal(-3.5, _kit.View.Certificates[0].LargestShiftDb!.Value, 6);

        // Another transducer has other values, and that says nothing about the one before.
        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-3", shiftDb: 8, serial: "CE-9"));
        Assert.Single(_kit.View.LookBacks);
    }

    [Fact]
    public void ATransducerThatComesBackIsHeldAgainstItsOwnLastCertificate()
    {
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-80), "INV-1"));
        var doubtful = _kit.Session(_kit.Now.AddDays(-40));
        _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-10), "INV-2", shiftDb: 8, serial: "CE-9"));
        Assert.Empty(_kit.View.LookBacks);

        _kit.Tell(KitSamples.Gear(_kit.Today, "INV-3", shiftDb: -3.5));

        var list = Assert.Single(_kit.View.LookBacks);
        Assert.Equal([doubtful], list.Sessions.Select(row => row.SessionId));
        Assert.Contains("since certificate INV-1", list.Reason, StringComparison.Ordinal);
    }

    [Fact]
    public void SessionsPlannedAfterTheCalibrationEndsAreNamed()
    {
        Calibrated();
        var until = _kit.View.Calibration!.HoldsUntil;
        _kit.Session(_kit.Now, SessionStage.Scheduled, new DateTimeOffset(until, new TimeOnly(10, 0), TimeSpan.Zero));
        var late = _kit.Session(_kit.Now, SessionStage.Scheduled, new DateTimeOffset(until.AddDays(1), new TimeOnly(10, 0), TimeSpan.Zero));

        Assert.Equal(new UncoveredSession(late, until.AddDays(1)), Assert.Single(_kit.View.Uncovered));
    }

    private void FailedKnownEar()
    {
        Calibrated();
        _kit.Ask(new RecordBaseline("E1", KitSamples.Levels(5)));
        _kit.Ask(new RecordKnownEar("E1", KitSamples.Levels(20)));
        Assert.Single(_kit.Holds);
    }

    private void Calibrated() => _kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-20)));
}
