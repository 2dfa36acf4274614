using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>The way of a kit from the shelf and back, and what is refused on it in words.</summary>
public sealed class KitJourneyTests
{
    private readonly JourneyKit _kit = new();

    public static TheoryData<KitStage> Stages => [.. Enum.GetValues<KitStage>()];

    [Theory]
    [MemberData(nameof(Stages))]
    public void EveryStageOfThePracticeIsReachedAndShown(KitStage stage)
    {
        _kit.At(stage);

        var view = _kit.Kit.View;
        Assert.Equal(stage, view.Stage);
        Assert.Equal(TurnaroundLines.Steps.Contains(stage), view.Checklist.Count > 0);
        Assert.All(view.Moves.Where(move => !move.Allowed), move => Assert.False(string.IsNullOrWhiteSpace(move.WhyNot)));
    }

    [Fact]
    public void TheStagesAreThoseOfThePracticeInItsOrder() => Assert.Equal(
        "Draft, Commissioned, Available, Reserved, Packed, AwaitingPickup, InTransitOut, Delivered, CheckedInAtSite, InUse, AwaitingReturn, InTransitBack, Received, Quarantine, Cleaning, Inspection, Restock, FunctionCheck, Repair, AtCalibration, MissingParcel, Lost, Stolen, Retired",
        string.Join(", ", Enum.GetNames<KitStage>()));

    [Fact]
    public void AKitGoesOutComesBackAndIsReleasedClean()
    {
        _kit.At(KitStage.FunctionCheck);
        Assert.Equal(RefusalCodes.CheckMissing, _kit.Refused(new ReleaseKit()).Code);

        _kit.Must(KitSamples.Function(passed: true)).Must(new ReleaseKit());

        Assert.Equal(KitStage.Available, _kit.Stage);
        Assert.Empty(_kit.Holds);
        var loan = Assert.Single(_kit.Kit.View.PastLoans);
        Assert.Equal("received", loan.Ended);
        Assert.Equal(["reserved", "paper-signed", "packed", "staged", "sent-out", "delivered", "checked-in", "packed-up", "sent-back", "received"], loan.Steps.Select(step => step.Name));
        Assert.Equal(("RX 1234", "RX 5678", "S-4411", "S-4412"), (loan.Tracking, loan.ReturnTracking, loan.Seal, loan.ReturnSeal));
        Assert.Equal([KitStage.Cleaning, KitStage.Inspection, KitStage.Restock], _kit.State.Turnaround.Select(entry => entry.Step));
    }

    [Fact]
    public void AKitThatWasNeverSentCannotComeBack()
    {
        Assert.Contains("never sent", _kit.Refused(new ReceiveKit(null, [], null, EntryMeans.Scanned)).Sentence, StringComparison.Ordinal);
        _kit.At(KitStage.Packed);
        Assert.Contains("never sent", _kit.Refused(new ReceiveKit(null, [], null, EntryMeans.Scanned)).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void TheSecondWhoReceivesIsToldWhoDidAndWhen()
    {
        _kit.At(KitStage.Received);

        var refusal = _kit.Refused(new ReceiveKit(null, [], null, EntryMeans.Scanned));

        Assert.Contains($"{KitSamples.Coordinator.Name} received it already, on 25 November 2026 at 09:00 UTC", refusal.Sentence, StringComparison.Ordinal);
        _kit.Must(new BeginCleaning(null));
        Assert.Contains("received it already", _kit.Refused(new ReceiveKit(null, [], null, EntryMeans.Scanned)).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void ADeliveryBeforeTheShippingIsRefused()
    {
        _kit.At(KitStage.AwaitingPickup);

        Assert.Contains("not handed to a carrier", _kit.Refused(_kit.Carrier(CarrierStatus.Delivered)).Sentence, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.LoanUnknown, _kit.Refused(_kit.Carrier(CarrierStatus.Delivered) with { LoanId = LoanId.New() }).Code);
    }

    [Fact]
    public void DatesThatCannotBeAreRefused()
    {
        Assert.Contains("past", _kit.Refused(_kit.Promise(from: -1)).Sentence, StringComparison.Ordinal);
        _kit.At(KitStage.AwaitingPickup);
        Assert.Contains("packed on", _kit.Refused(_kit.Send(-5)).Sentence, StringComparison.Ordinal);
        Assert.Contains("has not come", _kit.Refused(_kit.Send(3)).Sentence, StringComparison.Ordinal);
        _kit.Must(_kit.Send());
        Assert.Contains("has not come", _kit.Refused(_kit.Carrier(CarrierStatus.Delivered) with { At = _kit.Kit.Now.AddHours(1) }).Sentence, StringComparison.Ordinal);
        Assert.Contains("before the parcel", _kit.Refused(_kit.Carrier(CarrierStatus.Delivered) with { At = _kit.Kit.Now.AddDays(-3) }).Sentence, StringComparison.Ordinal);
        Assert.Contains("later than before", _kit.Refused(new ExtendLoan(_kit.Loan, _kit.Today, _kit.Today, "longer")).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void LoansThatOverlapAreRefusedAndThoseThatMeetAreNot()
    {
        _kit.Must(_kit.Promise());
        var free = _kit.State.Loans[0].BookableFrom.DayNumber - _kit.Today.DayNumber;

        Assert.Equal(RefusalCodes.LoanOverlaps, _kit.Refused(_kit.Promise(LoanId.New(), from: free - 1)).Code);
        Assert.Equal(RefusalCodes.LoanOverlaps, _kit.Refused(_kit.Promise(LoanId.New(), from: 0, days: 1, turnaround: 3)).Code);
        _kit.Must(_kit.Promise(LoanId.New(), from: free)).Must(_kit.Promise(LoanId.New(), from: 0, days: 1, turnaround: 0));
        Assert.Equal(3, _kit.State.Loans.Count);
        Assert.Equal(RefusalCodes.LoanOverlaps, _kit.Refused(new ExtendLoan(_kit.Loan, _kit.Today.AddDays(free), _kit.Today.AddDays(free + 1), "longer")).Code);
    }

    [Fact]
    public void AnOverdueKitIsNotPromisedForDaysInWhichItMayStillBeAway()
    {
        _kit.At(KitStage.CheckedInAtSite);
        _kit.Kit.Now = _kit.Kit.Now.AddDays(30);
        _kit.Kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-1), "INV-2"));
        Assert.Equal(15, Assert.Single(_kit.Kit.View.Loans).DaysOverdue);

        Assert.Equal(RefusalCodes.LoanOverlaps, _kit.Refused(_kit.Promise(LoanId.New(), from: 1, days: 2)).Code);

        _kit.Must(_kit.Promise(LoanId.New(), from: 3, days: 2));
        Assert.Equal(KitStage.CheckedInAtSite, _kit.Stage);
    }

    [Fact]
    public void OneLoanHasOneKit()
    {
        _kit.Kit.Others.Add(KitFold.Apply(KitState.Empty(new KitId("kit-02")), new RecordedFact(1, _kit.Kit.Now, new KitReserved(_kit.Loan, _kit.Today, _kit.Today, _kit.Today, "elsewhere", KitSamples.Coordinator))));

        var refusal = _kit.Refused(_kit.Promise());

        Assert.Equal(RefusalCodes.LoanTaken, refusal.Code);
        Assert.Contains("kit-02", refusal.Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void AKitIsPackedWithConsentToItsLoanOnly()
    {
        var pack = new PackKit(_kit.Loan, JourneyKit.Full, null, null);
        var refusal = _kit.At(KitStage.Reserved).Refused(pack);
        Assert.Equal(RefusalCodes.ConsentMissing, refusal.Code);
        Assert.Contains("borrowing the kit", refusal.Sentence, StringComparison.Ordinal);

        _kit.Must(new SignLoanPaper(_kit.Loan, "Edda Sorrel")).Must(new WithdrawLoanConsent(_kit.Loan, ConsentParty.Themself, ConsentMeans.Spoken, "not now"));
        Assert.Equal(RefusalCodes.ConsentMissing, _kit.Refused(pack).Code);

        _kit.Must(new SignLoanPaper(_kit.Loan, "Edda Sorrel")).Must(pack).Must(new WithdrawLoanConsent(_kit.Loan, ConsentParty.Themself, ConsentMeans.Spoken, "not now"));
        Assert.Equal(RefusalCodes.KitHeld, _kit.Refused(_kit.Send()).Code);
    }

    [Fact]
    public void ACaseThatIsNotCompleteIsNotPacked()
    {
        _kit.At(KitStage.Reserved);

        Assert.Contains("not counted: insert tips", _kit.Refused(new PackKit(_kit.Loan, [new("PHONES", 1)], null, null)).Sentence, StringComparison.Ordinal);
        Assert.Contains("insert tips, pair (9 of 10)", _kit.Refused(new PackKit(_kit.Loan, [new("PHONES", 1), new("TIPS", 9), new("PROBE", 2)], null, null)).Sentence, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.ItemUnknown, _kit.Refused(new PackKit(_kit.Loan, [.. JourneyKit.Full, new("LAMP", 1)], null, null)).Code);
    }

    [Fact]
    public void AQuarantineIsWaitedForOrCutShortWithAReason()
    {
        _kit.At(KitStage.Quarantine);
        Assert.Equal(RefusalCodes.GateNotMet, _kit.Refused(new BeginCleaning(" ")).Code);
        _kit.Must(new BeginCleaning("needed tomorrow"));
        Assert.Equal("needed tomorrow", ((CleaningBegun)_kit.State.History[^1].Fact).QuarantineCutShortBecause);

        var other = new JourneyKit().At(KitStage.Quarantine);
        other.Kit.Now = other.Kit.Now.AddHours(24);
        other.Must(new BeginCleaning(null));
    }

    [Fact]
    public void EveryLineOfAChecklistIsAnsweredAndASkipNeedsAReason()
    {
        _kit.At(KitStage.Cleaning);

        Assert.Equal(RefusalCodes.GateNotMet, _kit.Refused(new SignTurnaround(KitStage.Cleaning, [], [], " ", null)).Code);
        Assert.Equal(RefusalCodes.GateNotMet, _kit.Refused(JourneyKit.Sign(KitStage.Cleaning, fails: true)).Code);
        Assert.Equal(RefusalCodes.StageDoesNotAllow, _kit.Refused(JourneyKit.Sign(KitStage.Inspection)).Code);
        _kit.Must(JourneyKit.Skip(KitStage.Cleaning));
        Assert.Contains("signed this step already", _kit.Refused(JourneyKit.Sign(KitStage.Cleaning)).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void WhatIsCleanedHowFollowsFromWhatTouchedAPerson()
    {
        // Bankaitis 2023 citing CDC: skin is cleaned, then disinfected; canal is single use unless the maker says reusable, and then high-level disinfection.
        var lines = TurnaroundLines.Of(KitStage.Cleaning, JourneyKit.Contents);
        var codes = lines.Select(line => line.Code).ToList();

        Assert.True(codes.IndexOf("clean-PHONES") >= 0 && codes.IndexOf("clean-PHONES") < codes.IndexOf("disinfect-PHONES"), "Cleaning comes before disinfecting.");
        Assert.Contains("60 s", lines.Single(line => line.Code == "disinfect-PHONES").Instruction, StringComparison.Ordinal);
        Assert.Contains("discard-TIPS", codes);
        Assert.DoesNotContain("disinfect-TIPS", codes);
        Assert.Contains("high level", lines.Single(line => line.Code == "disinfect-PROBE").Title, StringComparison.Ordinal);
        Assert.Contains("blood, pus, discharge or heavy wax", lines.Single(line => line.Code == "disinfect-PROBE").Instruction, StringComparison.Ordinal);
        Assert.Contains("local infection-control rules", TurnaroundLines.Caution, StringComparison.Ordinal);
    }

    [Fact]
    public void AFailedInspectionLeadsToRepairAndAFailedFunctionCheckOpensALookBackToo()
    {
        _kit.At(KitStage.Inspection).Must(JourneyKit.Sign(KitStage.Inspection, fails: true));
        Assert.Equal(KitStage.Repair, _kit.Stage);

        var other = new JourneyKit();
        other.Kit.Session(other.Kit.Now.AddDays(-1));
        other.At(KitStage.FunctionCheck).Must(KitSamples.Function(passed: false));
        Assert.Equal(KitStage.Repair, other.Stage);
        Assert.Single(other.Kit.View.LookBacks[0].Sessions);
        Assert.Equal([KitHoldKind.CheckFailed, KitHoldKind.LookBackOpen], other.Holds.Order());
    }

    [Fact]
    public void NewPartsAskForACalibrationOfThatDayOrLater()
    {
        _kit.At(KitStage.Repair).Must(new FinishRepair("plug replaced", true));
        Assert.Equal([KitHoldKind.CalibrationExpired], _kit.Holds);

        _kit.Kit.Tell(KitSamples.Gear(_kit.Today.AddDays(-1), "INV-2"));
        Assert.Equal([KitHoldKind.CalibrationExpired], _kit.Holds);

        _kit.Kit.Tell(KitSamples.Gear(_kit.Today, "INV-3"));
        Assert.Empty(_kit.Holds);
    }

    [Fact]
    public void AKitFromTheLaboratoryIsCheckedBeforeItIsReleased()
    {
        _kit.At(KitStage.AtCalibration);
        Assert.Contains("at the laboratory", _kit.Refused(KitSamples.Function(passed: true)).Sentence, StringComparison.Ordinal);
        _kit.Must(new TakeFromLaboratory(null)).Must(JourneyKit.Sign(KitStage.Inspection, [new("TIPS", 16)])).Must(JourneyKit.Sign(KitStage.Restock, JourneyKit.Full));
        Assert.Equal(RefusalCodes.CheckMissing, _kit.Refused(new ReleaseKit()).Code);

        // Also one that was recorded there when that was still possible.
        var other = new JourneyKit().At(KitStage.AtCalibration);
        other.Kit.Happen([new FunctionChecked(KitSamples.Function(passed: true).Answers, null, KitSamples.Coordinator)]);
        other.Must(new TakeFromLaboratory(null));
        Assert.False(other.State.Checked);
    }

    [Theory]
    [InlineData(-30, KitStage.AwaitingReturn)]
    [InlineData(-1, KitStage.AwaitingReturn)]
    [InlineData(0, KitStage.CheckedInAtSite)]
    [InlineData(14, KitStage.CheckedInAtSite)]
    [InlineData(16, KitStage.AwaitingReturn)]
    public void ASessionThatWasNeverHeldKeepsNoKitAtTheSite(int plannedInDays, KitStage after)
    {
        _kit.At(KitStage.InUse);
        _kit.Kit.Session(_kit.Kit.Now, SessionStage.Scheduled, _kit.Kit.Now.AddDays(plannedInDays));
        _kit.Kit.Happen(UseDecider.PackUpNoted(_kit.State, _kit.Session, KitSamples.Coordinator));

        _kit.SetDown();

        Assert.Equal(after, _kit.Stage);
    }

    [Fact]
    public void WhetherASessionIsStillToComeIsCountedByTheClinicsDay()
    {
        // 09:00 UTC on the 25th is 23:00 on the 25th in a zone 14 h ahead; 09:30 UTC on the 24th is the 24th there, 11:00 UTC the 25th.
        foreach (var (hours, after) in new[] { (-23.5, KitStage.AwaitingReturn), (-22, KitStage.CheckedInAtSite) })
        {
            var kit = new JourneyKit().At(KitStage.InUse);
            kit.Kit.Zone = TimeZoneInfo.CreateCustomTimeZone("ahead", TimeSpan.FromHours(14), "ahead", "ahead");
            kit.Kit.Session(kit.Kit.Now, SessionStage.Scheduled, kit.Kit.Now.AddHours(hours));
            kit.Kit.Happen(UseDecider.PackUpNoted(kit.State, kit.Session, KitSamples.Coordinator));

            kit.SetDown();

            Assert.Equal(after, kit.Stage);
        }
    }

    [Fact]
    public void AParcelThatIsMissingComesBackToItsLegWhenTheCarrierSpeaks()
    {
        _kit.At(KitStage.MissingParcel).Must(_kit.Carrier(CarrierStatus.UnderWay));
        Assert.Equal(KitStage.InTransitOut, _kit.Stage);

        _kit.Must(new ReportParcelMissing("again")).Must(_kit.Carrier(CarrierStatus.Delivered));
        Assert.Equal(KitStage.Delivered, _kit.Stage);

        _kit.Must(new PackUpKit(_kit.Loan, [], null, null)).Must(_kit.Send()).Must(_kit.Carrier(CarrierStatus.Delivered));
        Assert.Equal(KitStage.InTransitBack, _kit.Stage);
        Assert.Contains(_kit.Kit.Due, sentence => sentence.Contains("receive it", StringComparison.Ordinal));
    }

    [Fact]
    public void StatusAndReasonOfACarrierStayApart()
    {
        _kit.At(KitStage.InTransitOut).Must(_kit.Carrier(CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere));

        var entry = Assert.Single(_kit.Kit.View.Loans[0].Carrier);
        Assert.Equal((CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere, KitLeg.Out), (entry.Status, entry.Reason, entry.Leg));
        Assert.Contains(_kit.Kit.Due, sentence => sentence.StartsWith("Delivery failed", StringComparison.Ordinal));
    }

    [Fact]
    public void AKitThatWasGivenUpComesBackHeldUntilItIsShownToBeWiped()
    {
        _kit.At(KitStage.Stolen).Must(new ReportKitFound("handed in"));

        Assert.Equal(KitStage.Received, _kit.Stage);
        Assert.Contains(KitHoldKind.DataNotWiped, _kit.Holds);
        Assert.Equal("stolen", _kit.State.PastLoans[^1].Ended);
    }

    [Fact]
    public void WhatDidNotOccurIsTakenBackWhenNothingCameAfterAndElseOnlySaidBesideIt()
    {
        _kit.At(KitStage.InTransitOut);
        var sent = _kit.State.Version;
        _kit.Must(new CorrectEntry(sent, true, "the wrong kit was scanned"));
        Assert.Equal(KitStage.AwaitingPickup, _kit.Stage);
        Assert.Null(_kit.State.LoanInHand!.SentOn);
        Assert.True(_kit.Kit.View.Corrections[0].TakesBack);

        _kit.Must(_kit.Send()).Must(_kit.Carrier(CarrierStatus.Delivered));
        _kit.Must(new CorrectEntry(_kit.State.Version - 1, true, "sent later"));
        Assert.Equal(KitStage.Delivered, _kit.Stage);
        Assert.False(_kit.Kit.View.Corrections[0].TakesBack);
        Assert.Equal(RefusalCodes.Invalid, _kit.Refused(new CorrectEntry(sent, true, "again")).Code);
        Assert.Equal(RefusalCodes.Invalid, _kit.Refused(new CorrectEntry(_kit.State.Version, true, "a correction")).Code);
        Assert.Equal(RefusalCodes.Invalid, _kit.Refused(new CorrectEntry(999, true, "none")).Code);

        // What is only wrong in part changes nothing; the right entry is made anew.
        _kit.Must(new CorrectEntry(_kit.State.Version - 1, false, "the place is wrong"));
        Assert.Equal(KitStage.Delivered, _kit.Stage);
    }

    [Fact]
    public void LoansOfTheTimeBeforeStepsWereRecordedStillCount()
    {
        _kit.Kit.Happen([new LoanBegun(_kit.Today.AddDays(-2), _kit.Today.AddDays(5), "Mill Lane 4", KitSamples.Coordinator)]);
        Assert.Equal(KitStage.InTransitOut, _kit.Stage);
        Assert.True(Assert.Single(_kit.Kit.View.Loans).InHand);

        _kit.Kit.Happen([new LoanEnded(KitSamples.Coordinator)]);
        Assert.Equal(KitStage.Available, _kit.Stage);
        Assert.Empty(_kit.Kit.View.Loans);
        Assert.Empty(_kit.Holds);
    }
}
