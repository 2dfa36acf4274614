using TeleHearing.Audiology;
using TeleHearing.Audiology.Acoustics;
using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.Noise;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Audiology.Signals;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Contracts.Tests;

/// <summary>One sample of everything that crosses the wire, with fixed ids.</summary>
internal static class Samples
{
    public static SessionId Session { get; } = new(Guid.Parse("0193a000-0000-7000-8000-000000000001"));

    public static StepId Step { get; } = new(Guid.Parse("0193a000-0000-7000-8000-000000000002"));

    public static CommandId Command { get; } = new(Guid.Parse("0193a000-0000-7000-8000-000000000003"));

    private static DateTimeOffset At { get; } = new(2026, 3, 18, 9, 30, 0, TimeSpan.Zero);

    private static GearUsed Gear { get; } = new(TransducerKind.SupraAural, "SA-0007", "U-0003", "CAL-2026-014");

    private static TrialRecord Trial { get; } = new(
        1, Ear.Right, 1000, 30, TrialKind.Tone, ToneShape.Pulsed, Ascending: false, 2500.5, 1200, TrialVerdict.Heard, 412.25, 0, null, [new TrialNoise(1000, 12.5, 53)]);

    private static ThresholdRecord Threshold(ThresholdOutcome outcome) =>
        new(Step, Ear.Left, 4000, outcome, StoppingRule.ThreeOfFive, [Trial], Gear, -10);

    private static StartCard Card { get; } = new(
        [new SpokenIdentifier(IdentifierKind.FullName, "said her name"), new SpokenIdentifier(IdentifierKind.BirthDate, "1951-03-04")],
        "Millrace Lane 4",
        "CA-NS",
        "555-0100",
        "112",
        "her sister, 555-0101",
        "the two of them",
        "alone",
        true,
        true,
        "agreed with the licensing body",
        new WhoItIs("P-0001", "knew her reference"));

    public static IEnumerable<SessionCommand> Commands =>
    [
        new TakeControl(),
        new ReleaseControl(),
        new RequestControl("to show the masking"),
        new GrantControl("p-2"),
        new DeclineControl("p-2", "nearly done"),
        new TakeOverControl("she does not answer"),
        new OfferControl("p-2", "to supervise"),
        new AcceptControl(),
        new EndOffer(null),
        new LendControl("p-3", [AssistantTask.RoomNoise, AssistantTask.SideProof], 15) { SideProofDbHl = 45 },
        new GiveBackControl(),
        new TakeBackControl(),
        new AcknowledgeHandoff("their office called back"),
        new ConfirmIdentity(Card),
        new AnswerConsent([new ConsentReply(ConsentPurpose.Care, true, 2), new ConsentReply(ConsentPurpose.Images, false, 1)], "en", new ConsentParty("Rune Hale", "guardian", "answers slowly"), ConsentMeans.SignedPaper, true, true),
        new AskConsentOnScreen([ConsentPurpose.Care, ConsentPurpose.RemoteMode], "es", ConsentParty.Themself, true, false),
        new WithdrawConsent("wants to stop"),
        new WithdrawConsent("no more pictures") { Purposes = [ConsentPurpose.Images], How = ConsentMeans.SignedPaper },
        new DeclareRecording(true, "sound, on the clinic's disk"),
        new RecordEarLook(Ear.Left, EarFinding.SomeWax, true, null),
        new RecordEarLook(Ear.Right, EarFinding.Clear, true, null) { Picture = EarPicture.Kept },
        new AcceptRoom("no quieter room"),
        new AcceptSides("known to hear nothing there"),
        new OrderStep(new CheckKitStep(), false),
        new OrderStep(new MeasureRoomStep(10), false),
        new OrderStep(new ProveSidesStep(4, 1000, 50), false),
        new OrderStep(new PresentToneStep(Ear.Right, 1000, 30, ToneShape.Steady, 1200), false),
        new OrderStep(new SearchThresholdStep(Ear.Right, 2000, StoppingRule.TwoOfThree, ToneShape.Pulsed), true),
        new OrderStep(new SearchEarStep(Ear.Left, [1000, 2000], StoppingRule.ThreeOfFive, ToneShape.Pulsed), false),
        new OrderStep(new SearchThresholdStep(Ear.Left, 500, StoppingRule.TwoOfThree, ToneShape.Pulsed) { Route = ConductionRoute.BoneMastoid, Masked = true, Known = [new Measurement(Ear.Left, ConductionRoute.BoneMastoid, 500, new ThresholdOutcome.Established(20))] }, false),
        new OrderStep(new MeasurePartStep(new PlanPart(Ear.Right, ConductionRoute.Air, true)) { Protocol = ShippedProtocols.Short, Known = [new Measurement(Ear.Right, ConductionRoute.Air, 1000, new ThresholdOutcome.Established(20)) { Tally = Tally }], Context = new PlanContext(TransducerKind.Insert) { AgeYears = 62, Sex = Sex.Female, Overrides = [new PlanOverride.SkipFrequency(new PlanPart(Ear.Left, ConductionRoute.Air, false), 8000)] } }, false),
        new ChooseProtocol("short", 1),
        new ChangePlan(new PlanOverride.Repeat(new PlanPart(Ear.Right, ConductionRoute.Air, false), 1000, 12)),
        new OrderStep(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Right), false),
        new OrderStep(new WearGearStep(ConductionRoute.Air, null), false),
        new CutStep(Step),
        new Advance(),
        new StepBack(),
        new Hold("a pause"),
        new Resume("ready again"),
        new AddNote("tired"),
        new SayOnScreen("Take your time."),
        new RecordReview([new WarningAnswer("pain", false, WarningAction.NoneNeeded), new WarningAnswer("dizziness", null, WarningAction.RoutineReferral)], "good", "mild loss"),
        new RecordHandoff("Your hearing is a little down for high sounds.", "Visit on 2 April.", true),
        new RecordHandoff("Your hearing is a little down for high sounds.", "Visit on 2 April.", true) { Owner = new HandoffOwner(null, "Harbour Street practice") },
        new RecordHandoff("Your hearing is a little down for high sounds.", "Visit on 2 April.", true) { SharedWith = "the family doctor" },
        new Abort("power cut"),
        new ConvertSession(ConversionTarget.Visit, "wax"),
    ];

    public static IEnumerable<KitReport> Reports =>
    [
        new StepStarted(Step),
        new TrialDone(Step, Trial),
        new ThresholdFound(Threshold(new ThresholdOutcome.Established(25))),
        new ThresholdFound(Threshold(new ThresholdOutcome.NoResponseAtLimit(90))),
        new ThresholdFound(Threshold(new ThresholdOutcome.NoiseLimited(20))),
        new ThresholdFound(Threshold(new ThresholdOutcome.NotEstablished("the answers varied too much"))),
        new StepEnded(Step, StepEnding.Completed, null, null, new KitCheckResult([new KitCheckLine("certificate", "Calibration certificate", true, "valid until 2026-06-01", null)], Gear, new DateOnly(2026, 6, 1))),
        new StepEnded(Step, StepEnding.Completed, null, null, new RoomResult([new BandLevel(250, 12.5)], [new BandLevel(250, 18)], [new LowestProvableLevel(250, 0, true, 250)], 10)),
        new StepEnded(Step, StepEnding.Completed, null, null, new RoomResult([], [], [], 10) { NotMeasured = "This kit has no measurement microphone." }),
        new StepEnded(Step, StepEnding.Completed, null, null, new RoomResult([new BandLevel(250, 12.5)], [new BandLevel(250, 18)], [new LowestProvableLevel(250, 0, true, 250) { LimitStatus = ValueStatus.FromMemory }], 10) { Criterion = NoiseCriterion.AnsiOctave }),
        new StepEnded(Step, StepEnding.Completed, null, null, new SideProofResult([new SideTrial(Ear.Left, Ear.Left), new SideTrial(Ear.Right, null)])),
        new StepEnded(Step, StepEnding.Refused, RefusalCodes.OverCeiling, "too loud", null),
        new StopPressed(),
        new AssistantDone(SessionStage.EarLook),
        new HelpCalled(),
        new ConsentAnsweredHere(ConsentPurpose.RemoteMode, "es", 3, true),
        new ConsentTakenBackHere(),
        new CaseCounted([new ItemCount("tips", 12)], "photo"),
        new CasePacked([new ItemCount("tips", 10)], [new ItemCount("tips", 2)], null, "S-0042"),
    ];

    public static IEnumerable<object> Messages =>
    [
        new CommandEnvelope(1, Command, Session, 1, 12, At, new Advance()),
        new Receipt(Command, new Refusal(RefusalCodes.GateNotMet, "Not yet.", "Look in the left ear."), 12, null),
        new Receipt(Command, null, 13, Step),
        new StepOrder(Session, Step, 14, 1, 5000, 100, 42, [new LowestProvableLevel(250, 0, true, 250)], new MeasureRoomStep(10)),
        new LeaseGrant(3, Guid.Parse("0193a000-0000-7000-8000-000000000004"), 4000, 1000),
        new JournaledReport(7, Session, 1234.5, new StopPressed()),
        new LiveSignal(Session, LiveSignalKind.ButtonDown),
        new LiveSignal(Session, LiveSignalKind.RoomHeard) { Room = new LiveRoom([30.5, 28], [4, 3.5], 33.1, null) },
        new StepOrder(Session, Step, 15, 1, 5000, 100, 42, [], new MeasureRoomStep(10) { Criterion = NoiseCriterion.AnsiThirdOctave }),
        new KitHello(1, "0.1.0", new JournalId(Guid.Parse("0193a000-0000-7000-8000-000000000005")), 7, Step, [Step]),
        new KitWelcome(null, 7, "a2V5", new KitScene(Session, SessionStage.Testing, null, "Maren Toft", "Hello", false, "search", false), new LeaseGrant(1, Guid.Empty, 10, 1000)),
        new KitScene(Session, SessionStage.Testing, null, "Ivo Lindqvist", null, false, null, false) { ControlEpoch = 3, LedBefore = "Maren Toft", AssistantName = "Ada Wiksell" },
        new ControlView(3, "p-3", "Ada Wiksell")
        {
            Loan = new ControlLoanView("p-1", "Maren Toft", [AssistantTask.SideProof], At) { SideProofDbHl = 45 },
            Requests = [new ControlRequestView("p-2", "Ivo Lindqvist", "to show the masking", At)],
            Offer = new ControlOfferView("p-2", "Ivo Lindqvist", "to supervise"),
            LastChange = "Maren Toft lent control.",
            HeldBeforeId = "p-1",
            OpenHandoff = new HandoffOwner("p-2", "Ivo Lindqvist"),
        },
        new StepOrder(Session, Step, 16, 1, 5000, 100, 42, [], new CheckKitStep()) { Covered = [ConsentPurpose.Care, ConsentPurpose.RemoteMode] },
        new KitScene(Session, SessionStage.Consent, null, "Maren Toft", null, false, null, false)
        {
            Question = new ConsentQuestion(new ConsentText(ConsentPurpose.Care, "en", 2, "Do you agree?", "It is a test.", "I agree", "I do not agree", "I no longer agree"), 1, 2),
            TakeBack = "I no longer agree",
            Recording = true,
        },
        new EnrolRequest("code", "pem", 1),
        new EnrolReply(new KitId("kit-01"), null),
        new ReportAck(7, null),
        new KitChallenge("nonce-of-the-hub"),
        new KitHelloProof(new KitId("kit-01"), "nonce-of-the-hub.nonce-of-the-kit", new JournalId(Guid.Parse("0193a000-0000-7000-8000-000000000005"))),
        new KitWelcomeProof(new KitId("kit-01"), "nonce-of-the-hub.nonce-of-the-kit"),
        new KitOrder(new KitId("kit-01"), "thumbprint", "nonce-of-the-hub.nonce-of-the-kit", new StepOrder(Session, Step, 16, 1, 5000, 100, 42, [], new CheckKitStep())),
        new SignedOrder("header.payload.signature"),
        new KitBatch(new JournalId(Guid.Parse("0193a000-0000-7000-8000-000000000005")), [new JournaledReport(8, Session, 1234.5, new HelpCalled())]),
        new SignedReports("header.payload.signature"),
        new KitAssertion("kit-01", "kit-01", "telehearing-hub", 1772445600, 1772445645, "number"),
        new KitProof("number", "GET", "https://hub.example/hubs/kit", 1772445600, "hash"),
        new KitTokenReply("token", "DPoP", 600),
        new KitTokenFault("invalid_grant", "The assertion was used before.", "command.duplicate"),
        new KitHello(1, "0.1.0", new JournalId(Guid.Parse("0193a000-0000-7000-8000-000000000005")), 0, null, []) { Gear = KitGear },
        new KitCommandEnvelope(1, Command, new KitId("kit-01"), At, new CommissionKit()),
        new KitRow(new KitId("kit-01"), "loan kit", "shelf", false, At, true, "0.1.0") { CalibratedUntil = new DateOnly(2026, 6, 1), CalibrationDaysLeft = 75, Calibration = CalibrationStanding.Holds, Holds = [], Due = ["A check is due."] },
        new KitRow(new KitId("kit-02"), "loan kit", "shelf", false, At, true, "0.1.0")
        {
            Stage = KitStage.InTransitOut,
            StageSince = At,
            HoldKinds = [KitHoldKind.LookBackOpen],
            Loan = new KitLoanRow(Loan, new DateOnly(2026, 3, 11), new DateOnly(2026, 3, 24), new DateOnly(2026, 3, 27), "Millrace Lane 4", true, 0, true),
            LaterLoans = 1,
            QuarantineUntil = At,
            Laboratory = Stay,
        },
        Kit,
    ];

    /// <summary>The tally of two answers, with the evidence that goes with it.</summary>
    private static TrialTally Tally
    {
        get
        {
            var counter = new TrialCounter();
            counter.Add(new SearchMove.PresentTone(HearingLevel.FromDecibels(30), Ascending: true), TrialAnswer.Heard);
            counter.Add(new SearchMove.PresentCatch(HearingLevel.FromDecibels(30)), TrialAnswer.NotHeard);
            return counter.Tally(9.5);
        }
    }

    public static IEnumerable<KitCommand> KitCommands =>
    [
        new RecordBaseline("E1", [new KnownEarLevel(Ear.Right, 1000, 5)]),
        new RecordKnownEar("E1", [new KnownEarLevel(Ear.Left, 4000, 15)]),
        new RecordKnownEar("E1", []) { From = Session },
        new RecordFunctionCheck([new FunctionAnswer("crosstalk", false)], "the left earphone hears the right one"),
        new RecordMove("Millrace Lane 4", null, 668),
        new ReviewSession(12, Session, "thresholds repeated on 2 April, unchanged"),
        new CommissionKit(),
        new ReleaseKit(),
        new PlaceHold(KitHoldKind.SafetyNotice, "the maker warns about the plug"),
        new LiftHold(KitHoldKind.SafetyNotice, "the plug was replaced"),
        new ReserveKit(Loan, new DateOnly(2026, 3, 11), new DateOnly(2026, 3, 24), new DateOnly(2026, 3, 27), "Millrace Lane 4"),
        new CallOffLoan(Loan, "the session was put off"),
        new ExtendLoan(Loan, new DateOnly(2026, 3, 31), new DateOnly(2026, 4, 3), "a second session"),
        new SignLoanPaper(Loan, "Edda Sorrel"),
        new SignLoanPaper(Loan, "Rune Hale") { Language = "es", TextVersion = 2, Capacity = "guardian" },
        new WithdrawLoanConsent(Loan, ConsentParty.Themself, ConsentMeans.SignedPaper, "the journey is too long"),
        new TakeReminderStep(Loan, "call", "will post it on Monday"),
        new PackKit(Loan, [new ItemCount("TIP-10", 12)], "photo-1", "S-4411"),
        new StageKit(Loan),
        new SendKit(Loan, "RX 1234", new DateOnly(2026, 3, 11), EntryMeans.Scanned),
        new RecordCarrier(Loan, CarrierStatus.DeliveryFailed, CarrierReason.NobodyThere, "Fernhill", At, EntryMeans.Reported, new ParcelReadings(-2.5, 19, 31)),
        new CheckInKit(Loan, [new ItemCount("TIP-10", 12)], null, EntryMeans.Typed),
        new PackUpKit(Loan, [new ItemCount("TIP-10", 8)], null, "S-4412"),
        new ReceiveKit("RX 5678", [new ItemCount("TIP-10", 8)], null, EntryMeans.Scanned),
        new QuarantineKit(At, "a cold in the house"),
        new BeginCleaning("needed tomorrow"),
        new SignTurnaround(KitStage.Cleaning, [new FunctionAnswer("clean-case", true)], [new ItemCount("TIP-10", 4)], null, null),
        new SignTurnaround(KitStage.Inspection, [], [], "inspected on return", "nothing found"),
        new SendToRepair("plug bent"),
        new FinishRepair("plug replaced", true),
        new SendToLaboratory("Alder Lane Acoustics (invented)", new DateOnly(2026, 4, 10)),
        new TakeFromLaboratory("with certificate"),
        new ReportParcelMissing("no entry for a week"),
        new ReportKitGone(true, "taken from the porch", false),
        new ReportKitFound("handed in"),
        new RetireKit("case broken"),
        new CorrectEntry(12, true, "the wrong kit was scanned"),
        new SetContents([Item]),
        new CountKit([new ItemCount("TIP-10", 12)], "photo-2"),
    ];

    private static LoanId Loan { get; } = new(Guid.Parse("0193a000-0000-7000-8000-000000000006"));

    private static KitItem Item { get; } = new("TIP-10", "insert tips, medium, pair", 20, 10)
    {
        Serial = "T-1",
        SingleUse = true,
        Lot = "L-88",
        Expiry = new DateOnly(2027, 1, 31),
        Contact = ItemContact.Canal,
        WipeSafe = false,
        ContactTimeSeconds = 60,
        NeedsCertificate = true,
        Pairing = "A",
        MassKg = 0.002,
        VolumeL = 0.01,
        Battery = new ItemBattery(3.7, 1, 2, true),
    };

    private static KitGear KitGear { get; } = new(
        "U-0003",
        "SA-0007",
        TransducerKind.SupraAural,
        GearUse.Moved,
        new CalibrationRecord("CAL-2026-014", "U-0003", "SA-0007", TransducerKind.SupraAural, Coupler.Iec60318Part3, new DateOnly(2026, 3, 1), new DateOnly(2027, 2, 28), "Alder Lane Acoustics (invented)", [new CalibrationEntry(Ear.Right, 1000, 118.5, 100) { UncertaintyDb = 0.7 }])
        {
            TemperatureC = 21.5,
            PressureKPa = 100.4,
            Site = "Fernhill",
        });

    private static KitView Kit { get; } = new(
        new KitId("kit-01"),
        9,
        At,
        "loan kit",
        "Millrace Lane 4",
        Online: true,
        new DateOnly(2026, 3, 18),
        ["The last function check failed."],
        ["A known-ear check is due."],
        new CalibrationView(KitGear.Calibration!, GearUse.Moved, new DateOnly(2026, 6, 1), 75, CalibrationStanding.Holds, []),
        [new CertificateView(At, "CAL-2026-014", "Alder Lane Acoustics (invented)", new DateOnly(2026, 3, 1), 0.4)],
        new KnownEarView(
            [new BaselineView(At, "E1", [new KnownEarLevel(Ear.Right, 1000, 5)])],
            [new KnownEarCheckView(At, "Pella Nyström", "E1", [new KnownEarShift(Ear.Right, 1000, 5, 15)], KnownEarVerdict.CalibrationNeeded, "CAL-2026-014")],
            "The kit was moved."),
        [new FunctionCheckView(At, "Pella Nyström", [new FunctionAnswer("crosstalk", false)], "heard on both sides", false)],
        new SidesProvenView(At, Session, 6),
        new KitSiteView(At, "Millrace Lane 4", 93.6, "The air is thin."),
        new LoanView(new DateOnly(2026, 3, 20), new DateOnly(2026, 4, 3), "Millrace Lane 4", true),
        [new UncoveredSession(Session, new DateOnly(2026, 6, 2))],
        [new LookBackView(7, At, "A function check failed.", At, [new LookBackRow(Session, At, SessionStage.Closed, At, "Maren Toft", "unchanged")])],
        [new Move("reserve-kit", false, "A check failed.")],
        [new TimelineEntry(9, At, "A function check failed.")],
        new IntegrityView(true, null))
    {
        Stage = KitStage.InTransitBack,
        StageSince = At,
        HoldList = [new KitHold(KitHoldKind.CheckFailed, "The last function check failed.", false, true)],
        Loans =
        [
            new KitLoanView(Loan, new DateOnly(2026, 3, 11), new DateOnly(2026, 3, 24), new DateOnly(2026, 3, 27), "Millrace Lane 4", true, true, 2, [new LoanStep(4, At, "sent-out", "Pella Nyström")])
            {
                PaperSignedAt = At,
                PaperSignedBy = "Edda Sorrel",
                Tracking = "RX 1234",
                ReturnTracking = "RX 5678",
                SentOn = new DateOnly(2026, 3, 11),
                SentBackOn = new DateOnly(2026, 3, 20),
                Seal = "S-4411",
                ReturnSeal = "S-4412",
                Carrier = [new CarrierEntry(5, KitLeg.Out, CarrierStatus.Delivered, CarrierReason.None, "Fernhill", At, EntryMeans.Reported, null)],
                Reminders = [new ReminderEntry(At, "call", "will post it on Monday", "Pella Nyström")],
            },
        ],
        PastLoans = [],
        FreeFrom = new DateOnly(2026, 3, 27),
        Items = [Item],
        Counts = [new KitCount(At, "Pella Nyström", CountOccasion.Packed, [new ItemCount("TIP-10", 12)], "photo-1")],
        InCase = [new ItemCount("TIP-10", 12)],
        Checklist = [new TurnaroundLine("discard-TIP-10", "Discard: insert tips, medium, pair", "Discard them.") { ItemId = "TIP-10" }],
        Turnaround = [new TurnaroundEntry(KitStage.Cleaning, At, "Pella Nyström", [new FunctionAnswer("clean-case", true)], [], null, "none")],
        QuarantineUntil = At,
        Laboratory = Stay,
        Fault = "plug bent",
        Checked = true,
        Ladder = [new LadderStep("overdue-call", LadderAction.Call, 7, "overdue-call")],
        Corrections = [new EntryCorrection(3, At, "Pella Nyström", true, true, "the wrong kit was scanned")],
    };

    private static LaboratoryStay Stay { get; } = new("Alder Lane Acoustics (invented)", At, new DateOnly(2026, 4, 10));
}
