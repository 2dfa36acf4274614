using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Kits.Journey;

/// <summary>Every hold of the practice forbids promising and sending; which of them forbids testing is docs/decisions/0026.</summary>
public sealed class KitHoldTests
{
    private readonly JourneyKit _kit = new();

    [Theory]
    [InlineData(KitHoldKind.CalibrationExpired, true)]
    [InlineData(KitHoldKind.CalibrationWouldExpireOnLoan, false)]
    [InlineData(KitHoldKind.CheckFailed, true)]
    [InlineData(KitHoldKind.CleaningUnsigned, false)]
    [InlineData(KitHoldKind.ItemMissing, false)]
    [InlineData(KitHoldKind.DataNotWiped, true)]
    [InlineData(KitHoldKind.SafetyNotice, true)]
    [InlineData(KitHoldKind.FirmwareNotApproved, true)]
    [InlineData(KitHoldKind.LoanPaperMissing, false)]
    [InlineData(KitHoldKind.BatterySuspect, true)]
    [InlineData(KitHoldKind.LookBackOpen, false)]
    [InlineData(KitHoldKind.RecordDoubtful, true)]
    public void AHoldForbidsPromisingAndSending(KitHoldKind kind, bool forbidsTesting)
    {
        var packed = Held(kind, KitStage.Packed);
        if (packed.Stage == KitStage.Reserved)
        {
            // What a person finds takes it out of its parcel; packed anew it is still not sent.
            packed.Must(new PackKit(packed.Loan, JourneyKit.Full, null, null));
        }

        Assert.Contains(kind, packed.Holds);
        Assert.Equal(RefusalCodes.KitHeld, packed.Refused(packed.Send()).Code);
        Assert.Equal(RefusalCodes.KitHeld, packed.Refused(packed.Promise(LoanId.New(), from: 40, days: 1)).Code);
        Assert.Contains(packed.Kit.View.HoldList, hold => hold.Kind == kind && hold.ForbidsTesting == forbidsTesting && hold.Sentence.Length > 10);
        Assert.Equal(packed.Kit.View.Holds, packed.Kit.View.HoldList.Select(hold => hold.Sentence));
    }

    [Theory]
    [InlineData(KitHoldKind.BatterySuspect)]
    [InlineData(KitHoldKind.SafetyNotice)]
    public void ABatteryInDoubtOrAWarningKeepsAKitOutOfEveryParcel(KitHoldKind kind)
    {
        foreach (var stage in new[] { KitStage.Available, KitStage.Commissioned, KitStage.FunctionCheck, KitStage.Repair })
        {
            var kit = new JourneyKit().At(stage).Must(new PlaceHold(kind, "it is swollen."));
            var laboratory = new SendToLaboratory("Alder Lane Acoustics (invented)", kit.Today.AddDays(7));

            var refusal = kit.Refused(laboratory);

            Assert.Equal(RefusalCodes.KitHeld, refusal.Code);
            Assert.Contains("it is swollen", refusal.Sentence, StringComparison.Ordinal);
            Assert.Contains("handed over in person, not by parcel", refusal.Remedy, StringComparison.Ordinal);
            kit.Must(laboratory with { InPerson = true });
            Assert.Equal(KitStage.AtCalibration, kit.Stage);
            Assert.Contains("in person", kit.Kit.View.Timeline[0].Text, StringComparison.Ordinal);
        }

        _kit.At(KitStage.AwaitingReturn).Must(new PlaceHold(kind, "it is swollen"));
        Assert.Contains("lift the hold", _kit.Refused(_kit.Send()).Remedy, StringComparison.Ordinal);
        Assert.False(_kit.Kit.View.Moves.Single(move => move.Name == "send-kit").Allowed);
        _kit.Must(new LiftHold(kind, "seen to")).Must(_kit.Send());
        Assert.Equal(KitStage.InTransitBack, _kit.Stage);
    }

    [Fact]
    public void AKitWithoutAHoldIsSent()
    {
        _kit.At(KitStage.Packed);

        Assert.Empty(_kit.Holds);
        _kit.Must(_kit.Send());
    }

    [Theory]
    [InlineData(KitHoldKind.SafetyNotice)]
    [InlineData(KitHoldKind.BatterySuspect)]
    [InlineData(KitHoldKind.FirmwareNotApproved)]
    [InlineData(KitHoldKind.DataNotWiped)]
    public void AHoldByHandIsPlacedOnceAndLiftedWithAReason(KitHoldKind kind)
    {
        Assert.Equal(RefusalCodes.Invalid, _kit.Refused(new LiftHold(kind, "none")).Code);
        _kit.Must(new PlaceHold(kind, "the maker warns"));
        Assert.Contains("holds the kit for this already", _kit.Refused(new PlaceHold(kind, "again")).Sentence, StringComparison.Ordinal);
        Assert.True(Assert.Single(_kit.Kit.View.HoldList).PlacedByHand);
        Assert.NotEmpty(KitJudgement.HoldsOnTesting(_kit.State, [], _kit.Today, "P-0107", _kit.Kit.Sessions));

        _kit.Must(new LiftHold(kind, "seen to"));

        Assert.Empty(_kit.Holds);
    }

    [Theory]
    [InlineData(KitStage.Available, true)]
    [InlineData(KitStage.Reserved, true)]
    [InlineData(KitStage.InTransitOut, true)]
    [InlineData(KitStage.Delivered, true)]
    [InlineData(KitStage.CheckedInAtSite, true)]
    [InlineData(KitStage.InUse, true)]
    [InlineData(KitStage.Draft, false)]
    [InlineData(KitStage.Packed, false)]
    [InlineData(KitStage.AwaitingReturn, false)]
    [InlineData(KitStage.InTransitBack, false)]
    [InlineData(KitStage.Received, false)]
    [InlineData(KitStage.Cleaning, false)]
    [InlineData(KitStage.AtCalibration, false)]
    [InlineData(KitStage.MissingParcel, false)]
    [InlineData(KitStage.Lost, false)]
    [InlineData(KitStage.Stolen, false)]
    [InlineData(KitStage.Retired, false)]
    public void ASessionStartsWhereAKitCanBeInFrontOfSomebody(KitStage stage, bool starts)
    {
        _kit.At(stage);
        _kit.Kit.Sessions.Add(new KitSessionUse(_kit.Session, _kit.Kit.Now, _kit.Kit.Now, SessionStage.Testing, "P-0107"));

        var why = KitJudgement.HoldsOnTesting(_kit.State, [], _kit.Today, "P-0107", _kit.Kit.Sessions);

        Assert.Equal(starts, why.Count == 0);
        Assert.All(why, sentence => Assert.Contains(KitStages.InWords(stage), sentence, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData(KitStage.Commissioned)]
    [InlineData(KitStage.Inspection)]
    [InlineData(KitStage.FunctionCheck)]
    [InlineData(KitStage.Repair)]
    public void OnlyAKnownEarListensToAKitOnTheMend(KitStage stage)
    {
        _kit.Must(new RecordBaseline("E1", KitSamples.Levels(5)));
        _kit.At(stage);

        Assert.NotEmpty(KitJudgement.HoldsOnTesting(_kit.State, [], _kit.Today, "P-0107", _kit.Kit.Sessions));
        Assert.Empty(KitJudgement.HoldsOnTesting(_kit.State, [], _kit.Today, "E1", _kit.Kit.Sessions));
        _kit.Use();
        Assert.Equal(stage, _kit.Stage);
        _kit.SetDown();
        Assert.Equal((stage, null), (_kit.Stage, _kit.State.InSession));
    }

    [Theory]
    [InlineData(KitStage.Packed, true)]
    [InlineData(KitStage.Packed, false)]
    [InlineData(KitStage.AwaitingPickup, true)]
    [InlineData(KitStage.AwaitingPickup, false)]
    public void APackedKitThatIsFoundFaultyIsOnTheShelfAgainAndItsLoanStaysPromised(KitStage stage, bool byHand)
    {
        _kit.At(stage).Must(byHand ? new PlaceHold(KitHoldKind.BatterySuspect, "swollen") : KitSamples.Function(passed: false));

        Assert.Equal((KitStage.Reserved, null, _kit.Loan), (_kit.Stage, _kit.State.InHand, Assert.Single(_kit.State.Loans).LoanId));
        Assert.Equal((null, "taken-out"), (_kit.State.Loans[0].Seal, _kit.State.Loans[0].Steps[^1].Name));
        Assert.NotNull(_kit.State.Loans[0].Paper);
        _kit.Must(byHand ? new LiftHold(KitHoldKind.BatterySuspect, "another battery") : KitSamples.Function(passed: true))
            .Must(new PackKit(_kit.Loan, JourneyKit.Full, null, null))
            .Must(_kit.Send());
    }

    [Fact]
    public void APackedKitGoesToRepairOrTheLaboratoryWithItsLoanStillPromised()
    {
        _kit.At(KitStage.Packed).Must(new SendToLaboratory("Alder Lane Acoustics (invented)", _kit.Today.AddDays(7)));
        Assert.Equal((KitStage.AtCalibration, null, 1), (_kit.Stage, _kit.State.InHand, _kit.State.Loans.Count));

        var other = new JourneyKit().At(KitStage.AwaitingPickup).Must(new SendToRepair("plug bent"));
        Assert.Equal((KitStage.Repair, null, 1), (other.Stage, other.State.InHand, other.State.Loans.Count));
    }

    [Theory]
    [InlineData(KitStage.Available)]
    [InlineData(KitStage.Reserved)]
    [InlineData(KitStage.CheckedInAtSite)]
    public void AKitThatWasWornTestsNobodyElseBeforeItsCleaningIsSigned(KitStage stage)
    {
        _kit.At(stage).Use(_kit.Kit.Session(_kit.Kit.Now, SessionStage.Closed, reference: "P-0107"));
        _kit.SetDown(_kit.Kit.Sessions[^1].SessionId);
        Assert.Equal(stage, _kit.Stage);

        Assert.Empty(Why("P-0107"));
        Assert.Contains("Clean what touched skin or canal, then sign it on the kit's page.", Assert.Single(Why("P-0112")), StringComparison.Ordinal);
        Assert.NotEmpty(KitJudgement.HoldsOnTesting(_kit.State, [], _kit.Today, "P-0107", []));
        Assert.Contains(_kit.Kit.View.Moves, move => move is { Name: "sign-cleaning", Allowed: true });

        Assert.Contains("not skipped", _kit.Refused(JourneyKit.Skip(KitStage.Cleaning)).Sentence, StringComparison.Ordinal);
        Assert.Equal(RefusalCodes.GateNotMet, _kit.Refused(JourneyKit.Sign(KitStage.Cleaning, fails: true)).Code);
        _kit.Must(JourneyKit.Sign(KitStage.Cleaning));

        Assert.Equal(stage, _kit.Stage);
        Assert.Empty(Why("P-0112"));
        Assert.DoesNotContain(KitHoldKind.CleaningUnsigned, _kit.Holds);
        Assert.Contains(_kit.Kit.View.Moves, move => move is { Name: "sign-cleaning", Allowed: false });
    }

    [Fact]
    public void AKnownEarIsAnotherPersonToo()
    {
        _kit.Must(new RecordBaseline("E1", KitSamples.Levels(5))).At(KitStage.Repair).Use(_kit.Kit.Session(_kit.Kit.Now, SessionStage.Closed, reference: "E2"));
        _kit.SetDown(_kit.Kit.Sessions[^1].SessionId);
        Assert.NotEmpty(Why("E1"));

        _kit.Must(JourneyKit.Sign(KitStage.Cleaning));

        Assert.Equal(KitStage.Repair, _kit.Stage);
        Assert.Empty(Why("E1"));
    }

    [Fact]
    public void CleaningIsNotSkippedWhenASessionUsedTheKit()
    {
        _kit.At(KitStage.CheckedInAtSite).Use(_kit.Session);
        _kit.SetDown(_kit.Session);
        _kit.Must(new ReceiveKit(null, [], null, EntryMeans.Scanned)).Must(new BeginCleaning(null));

        Assert.Equal(RefusalCodes.GateNotMet, _kit.Refused(JourneyKit.Skip(KitStage.Cleaning)).Code);

        // Also one that was recorded when that was still possible leaves the kit held.
        _kit.Kit.Happen([new TurnaroundSigned(KitStage.Cleaning, [], [], "done at the site", null, KitSamples.Coordinator)]);
        Assert.Contains(KitHoldKind.CleaningUnsigned, _kit.Holds);
        Assert.NotNull(_kit.State.LastUse);
    }

    private IReadOnlyList<string> Why(string person) => KitJudgement.HoldsOnTesting(_kit.State, [], _kit.Today, person, _kit.Kit.Sessions);

    private static JourneyKit Held(KitHoldKind kind, KitStage stage)
    {
        var kit = new JourneyKit();
        switch (kind)
        {
            case KitHoldKind.CalibrationExpired:
                kit.At(stage);
                kit.Kit.Now = kit.Kit.Now.AddMonths(4);
                break;
            case KitHoldKind.CalibrationWouldExpireOnLoan:
                kit.At(stage);
                kit.Kit.Tell(KitSamples.Gear(kit.Today.AddDays(5).AddMonths(-3), "INV-2"));
                break;
            case KitHoldKind.CheckFailed:
                kit.At(stage).Must(KitSamples.Function(passed: false));
                break;
            case KitHoldKind.CleaningUnsigned:
                kit.Use();
                kit.SetDown();
                kit.Kit.Happen([new KitReserved(kit.Loan, kit.Today, kit.Today.AddDays(9), kit.Today.AddDays(9), "Mill Lane 4", KitSamples.Coordinator)]);
                kit.Must(new SignLoanPaper(kit.Loan, "Edda Sorrel")).Must(new PackKit(kit.Loan, JourneyKit.Full, null, null));
                break;
            case KitHoldKind.ItemMissing:
                kit.At(stage);
                kit.Kit.Happen([new KitCounted([new ItemCount("TIPS", 3)], null, KitSamples.Coordinator)]);
                break;
            case KitHoldKind.LoanPaperMissing:
                kit.At(KitStage.Packed).Must(new WithdrawLoanConsent(kit.Loan, ConsentParty.Themself, ConsentMeans.Spoken, "the journey is too long"));
                break;
            case KitHoldKind.LookBackOpen:
                kit.Kit.Session(kit.Kit.Now.AddDays(-1));
                kit.At(stage).Must(KitSamples.Function(passed: false)).Must(KitSamples.Function(passed: true));
                break;
            case KitHoldKind.RecordDoubtful:
                kit.At(stage);
                kit.Kit.Others.Add(KitFold.Apply(KitState.Empty(new KitId("kit-02")), new RecordedFact(1, kit.Kit.Now, new GearReported(KitSamples.Gear(kit.Today)))));
                break;
            default:
                kit.At(stage).Must(new PlaceHold(kind, "a reason"));
                break;
        }

        return kit;
    }
}
