using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>What a correction must not do: give a loan to two kits, and what the role of who corrects may not do either.</summary>
public sealed class CorrectionTests
{
    private readonly JourneyKit _kit = new();

    [Fact]
    public void ALoanThatWasCalledOffAndWentToAnotherKitDoesNotComeBackByACorrection()
    {
        _kit.At(KitStage.Reserved).Must(new CallOffLoan(_kit.Loan, "another kit does better"));
        _kit.Kit.Others.Add(Holding(_kit.Loan));

        _kit.Must(new CorrectEntry(_kit.State.Version, true, "a slip"));

        Assert.Null(_kit.State.Loan(_kit.Loan));
        Assert.False(_kit.Kit.View.Corrections[0].TakesBack);
        Assert.Equal(KitStage.Available, _kit.Stage);
    }

    [Fact]
    public void APromiseThatWasGivenUpIsMadeAnewAndNotRevived()
    {
        _kit.At(KitStage.Reserved).Must(new CallOffLoan(_kit.Loan, "withdrawn")).Must(new CorrectEntry(_kit.State.Version, true, "a slip"));
        Assert.Null(_kit.State.Loan(_kit.Loan));

        _kit.Must(_kit.Promise());

        Assert.NotNull(_kit.State.Loan(_kit.Loan));
    }

    [Fact]
    public void AReceiptIsNotTakenBackOnceAnotherKitHasTheLoan()
    {
        _kit.At(KitStage.Received);
        _kit.Kit.Others.Add(Holding(_kit.Loan));

        var refusal = _kit.Refused(new CorrectEntry(_kit.State.Version, true, "the wrong kit was scanned"));

        Assert.Equal(RefusalCodes.LoanTaken, refusal.Code);
        Assert.Contains("kit-02", refusal.Sentence, StringComparison.Ordinal);
        _kit.Must(new CorrectEntry(_kit.State.Version, false, "the day is wrong"));
        Assert.Equal(KitStage.Received, _kit.Stage);
    }

    [Theory]
    [InlineData(KitStage.Retired)]
    [InlineData(KitStage.Commissioned)]
    [InlineData(KitStage.Reserved)]
    public void AClinicianDoesNotTakeBackWhatOnlyThoseWhoAnswerForTheKitsDo(KitStage stage)
    {
        _kit.At(stage);
        _kit.Kit.CaresForKits = false;

        Assert.Equal(RefusalCodes.RoleNotAllowed, _kit.Refused(new CorrectEntry(_kit.State.Version, true, "a slip")).Code);
        Assert.Equal(stage, _kit.Stage);

        _kit.Kit.CaresForKits = true;
        _kit.Must(new CorrectEntry(_kit.State.Version, true, "a slip"));
        Assert.NotEqual(stage, _kit.Stage);
    }

    [Fact]
    public void AClinicianDoesNotCallAReleaseBackNorAHoldIntoForce()
    {
        _kit.At(KitStage.FunctionCheck).Must(KitSamples.Function(passed: true)).Must(new ReleaseKit()).Must(new PlaceHold(KitHoldKind.SafetyNotice, "the maker warns")).Must(new LiftHold(KitHoldKind.SafetyNotice, "seen to"));
        _kit.Kit.CaresForKits = false;

        Assert.Equal(RefusalCodes.RoleNotAllowed, _kit.Refused(new CorrectEntry(_kit.State.Version - 2, true, "a slip")).Code);
        Assert.Equal(RefusalCodes.RoleNotAllowed, _kit.Refused(new CorrectEntry(_kit.State.Version, true, "a slip")).Code);
    }

    [Fact]
    public void AKitThatWasFoundIsNotLostAgainByACorrection()
    {
        _kit.At(KitStage.Stolen).Must(new ReportKitFound("handed in"));
        var found = _kit.State.History.Last(recorded => recorded.Fact is KitFound).Sequence;

        _kit.Must(new CorrectEntry(found, true, "a slip"));

        Assert.Equal(KitStage.Received, _kit.Stage);
        Assert.False(_kit.Kit.View.Corrections[0].TakesBack);
    }

    [Fact]
    public void WhichKitGoesToWhichLoanIsForThoseWhoAnswerForTheKits()
    {
        KitCommand[] theirs = [_kit.Promise(), new CallOffLoan(_kit.Loan, "not needed"), new ExtendLoan(_kit.Loan, _kit.Today, _kit.Today, "longer"), new CommissionKit(), new RetireKit("broken"), new LiftHold(KitHoldKind.SafetyNotice, "seen to")];

        Assert.All(theirs, command => Assert.Equal(RefusalCodes.RoleNotAllowed, RightsTable.Refusal(Caller(Roles.Clinician), KitDoors.Of(command))?.Code));
        Assert.All(theirs, command => Assert.Null(RightsTable.Refusal(Caller(Roles.Coordinator), KitDoors.Of(command))));
        Assert.All(theirs, command => Assert.Null(RightsTable.Refusal(Caller(Roles.Owner), KitDoors.Of(command))));
    }

    [Fact]
    public void WhatDidNotHappenStaysInTheLogOfItsLoanWithItsReading()
    {
        _kit.At(KitStage.InTransitOut).Must(_kit.Carrier(CarrierStatus.UnderWay) with { Readings = new ParcelReadings(null, 61, null) });
        var said = _kit.State.Version;

        _kit.Must(new CorrectEntry(said, true, "another parcel")).Must(_kit.Carrier(CarrierStatus.Delivered));
        var delivered = _kit.State.Version;
        _kit.Must(new CorrectEntry(delivered, true, "the neighbour's"));

        var loan = Assert.Single(_kit.Kit.View.Loans);
        Assert.Empty(loan.Carrier);
        Assert.DoesNotContain(loan.Steps, step => step.Name == "delivered");
        Assert.Equal([said, delivered], loan.CarrierTakenBack.Select(entry => entry.Sequence));
        Assert.Equal(61, loan.CarrierTakenBack[0].Readings!.HighestC);
        Assert.Equal("delivered", Assert.Single(loan.StepsTakenBack).Name);
        Assert.Equal(KitStage.InTransitOut, _kit.Stage);
        Assert.Equal([delivered, said], _kit.Kit.View.Corrections.Select(correction => correction.Sequence));
    }

    private static KitState Holding(LoanId loan) =>
        KitFold.Apply(KitState.Empty(new KitId("kit-02")), new RecordedFact(1, default, new KitReserved(loan, default, default, default, "elsewhere", KitSamples.Coordinator)));

    private static PersonCaller Caller(string role) => new("person-9", "Sten Vik", [role]);
}
