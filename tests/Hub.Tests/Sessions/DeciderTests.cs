using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

public sealed class DeciderTests
{
    private static readonly OrderStep _tone = new(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), false);

    [Fact]
    public void ASecondClinicianCannotTakeWhatIsHeld()
    {
        var session = PureSession.At(SessionStage.Testing);

        Assert.Equal(RefusalCodes.ControlHeld, session.Refusal(new TakeControl(), PureSession.Ivo).Code);
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(_tone, PureSession.Ivo).Code);
    }

    [Fact]
    public void HandingControlOverRaisesTheEpochAndOldCommandsAreRefused()
    {
        var session = PureSession.At(SessionStage.Testing);
        var old = session.Envelope(_tone);
        session.Must(new ReleaseControl());
        session.Must(new TakeControl(), PureSession.Ivo);
        session.Must(new ReleaseControl(), PureSession.Ivo);
        session.Must(new TakeControl());

        var decision = SessionDecider.Decide(session.State, old with { ExpectedVersion = session.State.Version }, PureSession.Maren, session.Context);

        Assert.Equal(3, session.State.Epoch);
        Assert.Equal(RefusalCodes.OldEpoch, Assert.IsType<Refused>(decision).Refusal.Code);
    }

    [Fact]
    public void AMessageOnTheKitScreenGoesWhenTheTestGoesOn()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new Hold(null));
        session.Must(new SayOnScreen("We rest a moment. Nothing plays now."));
        Assert.NotNull(session.State.Message);

        session.Must(new Resume(null));

        Assert.Null(session.State.Message);
    }

    [Fact]
    public void ACommandOnAnOldPictureIsRefusedAfterAChangeOfStageButNotAfterATrial()
    {
        var session = PureSession.At(SessionStage.Testing);
        var step = session.Must(_tone).StepId!.Value;
        var seen = session.Envelope(new Advance());
        session.Report(new TrialDone(step, Samples.Trial()));
        session.Report(new ThresholdFound(Samples.Threshold(step)));
        session.Report(new StepEnded(step, StepEnding.Completed, null, null, null));

        Assert.IsType<Hub.Sessions.Decisions.Decided>(SessionDecider.Decide(session.State, seen, PureSession.Maren, session.Context));
        session.Must(new Hold(null));
        session.Must(new Resume(null));
        Assert.Equal(RefusalCodes.StaleView, Assert.IsType<Refused>(SessionDecider.Decide(session.State, seen, PureSession.Maren, session.Context)).Refusal.Code);
    }

    [Fact]
    public void SilenceIsNotRefusedBecauseThePictureWasOld()
    {
        var session = PureSession.At(SessionStage.Testing);

        var decision = SessionDecider.Decide(session.State, session.Envelope(new Hold(null)) with { ExpectedVersion = 1 }, PureSession.Maren, session.Context);

        Assert.IsType<Hub.Sessions.Decisions.Decided>(decision);
    }

    [Fact]
    public void AnExpiredCommandIsNotCarriedOut()
    {
        var session = PureSession.At(SessionStage.Testing);
        var late = session.Envelope(_tone) with { ExpiresAt = session.Now.AddMilliseconds(-1) };

        Assert.Equal(RefusalCodes.Expired, Assert.IsType<Refused>(SessionDecider.Decide(session.State, late, PureSession.Maren, session.Context)).Refusal.Code);
    }

    [Fact]
    public void OneStepAtATime()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(_tone);

        Assert.Equal(RefusalCodes.StepRunning, session.Refusal(_tone).Code);
        Assert.Equal(RefusalCodes.StepRunning, session.Refusal(new Advance()).Code);
    }

    [Fact]
    public void AnEarThatMustNotBeCoveredIsNotTested()
    {
        var session = PureSession.At(SessionStage.EarLook);
        session.Must(new RecordEarLook(Ear.Right, EarFinding.DischargeOrBlood, false, "discharge"));
        session.Must(Samples.Clear(Ear.Left));
        session.Must(new Advance());
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new OrderStep(new ProveSidesStep(4, 1000, 50), false)).Code);
        session.Must(new Advance());

        Assert.Contains("right ear", session.Refusal(_tone).Sentence, StringComparison.Ordinal);
        Assert.IsType<Refused>(session.Ask(new OrderStep(new SearchEarStep(Ear.Right, [1000], StoppingRule.TwoOfThree, ToneShape.Steady), false)));
        session.Must(new OrderStep(new SearchThresholdStep(Ear.Left, 1000, StoppingRule.TwoOfThree, ToneShape.Steady), false));
    }

    [Fact]
    public void NeitherEarSafeEndsInNoTest()
    {
        var session = PureSession.At(SessionStage.EarLook);
        session.Must(new RecordEarLook(Ear.Right, EarFinding.DischargeOrBlood, false, "discharge"));
        session.Must(new RecordEarLook(Ear.Left, EarFinding.PainOnTouch, false, "pain"));

        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
    }

    [Fact]
    public void AboveOneHundredDecibelsAConfirmationIsNeeded()
    {
        var session = PureSession.At(SessionStage.Testing);
        var loud = new PresentToneStep(Ear.Right, 1000, 100.5, ToneShape.Steady, 1000);

        Assert.Equal(RefusalCodes.NotConfirmedLoud, session.Refusal(new OrderStep(loud, false)).Code);
        var order = Assert.IsType<CarryStep>(Assert.Single(session.Must(new OrderStep(loud, true)).Effects)).Order;
        Assert.Equal(120, order.MaximumLevelDbHl);
    }

    [Fact]
    public void AnOrderCarriesTheRoomTheEpochAndARisingNumber()
    {
        var session = PureSession.At(SessionStage.Testing);
        var first = Assert.IsType<CarryStep>(Assert.Single(session.Must(_tone).Effects)).Order;
        session.Report(new StepEnded(first.StepId, StepEnding.Completed, null, null, null));
        var second = Assert.IsType<CarryStep>(Assert.Single(session.Must(_tone).Effects)).Order;

        Assert.Equal(Samples.QuietRoom.LowestProvable, first.LowestProvable);
        Assert.Equal(1, first.ControlEpoch);
        Assert.Equal(first.OrderNumber + 1, second.OrderNumber);
        Assert.Equal(100, first.MaximumLevelDbHl);
        Assert.Equal(10_000, first.ExpiresAtHubMs);
    }

    [Fact]
    public void HoldStopAbortConvertAndWithdrawalCutWhatIsInHand()
    {
        SessionCommand[] endings = [new Hold("pause"), new Abort("ill"), new ConvertSession(ConversionTarget.Referral, "wax"), new WithdrawConsent("no more")];
        foreach (var ending in endings)
        {
            var session = PureSession.At(SessionStage.Testing);
            var step = session.Must(_tone).StepId!.Value;

            Assert.Equal(new EndStep(step), Assert.Single(session.Must(ending).Effects));
        }

        var stopped = PureSession.At(SessionStage.Testing);
        var running = stopped.Must(_tone).StepId!.Value;
        var decided = Assert.IsType<Hub.Sessions.Decisions.Decided>(stopped.Report(new StopPressed()));
        Assert.Equal(new EndStep(running), Assert.Single(decided.Effects));
        Assert.Equal(SessionStage.Stopped, stopped.State.Stage);
    }

    [Fact]
    public void AfterAStopOnlyANoteBringsTheSessionBack()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Report(new StopPressed());

        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Resume(" ")).Code);
        session.Must(new Resume("The person wanted water and is well."));
        Assert.Equal(SessionStage.Testing, session.State.Stage);
    }

    [Fact]
    public void WithdrawnConsentStopsTestingAndLeadsBackToConsent()
    {
        var session = PureSession.At(SessionStage.Testing, supplied: true);

        session.Must(new WithdrawConsent("tired"));

        Assert.Equal(SessionStage.Stopped, session.State.Stage);
        Assert.False(session.State.Consent.AnyGiven);
        Assert.Single(session.State.Thresholds);
        session.Must(new Resume("The person wants to go on."));
        Assert.Equal(SessionStage.Consent, session.State.Stage);
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
    }

    [Theory]
    [InlineData(600, false)]
    [InlineData(601, true)]
    public void AGapLongerThanTenMinutesRepeatsRoomAndSideProof(int seconds, bool repeats)
    {
        var session = PureSession.At(SessionStage.Testing, supplied: true);
        session.LoseLink();
        session.Now += TimeSpan.FromSeconds(seconds);
        session.Greet();

        Assert.Equal(repeats ? SessionStage.RoomNoise : SessionStage.Testing, session.State.Stage);
        Assert.Equal(repeats, session.State.Room is null);
        Assert.Equal(repeats, session.State.SideProof is null);
        Assert.Single(session.State.Thresholds);
    }

    [Fact]
    public void ALongGapAtAnEarlierStageRepeatsThemTooOnceTheyWereMeasured()
    {
        var session = PureSession.At(SessionStage.Testing, supplied: true);
        session.Must(new WithdrawConsent("tired"));
        session.Must(new Resume("The person wants to go on."));
        session.Must(Samples.Consent);

        session.Must(new Hold("a meal"));
        session.Now += TimeSpan.FromMinutes(30);
        session.Must(new Resume(null));

        Assert.Equal(SessionStage.Consent, session.State.Stage);
        Assert.Null(session.State.Room);
        Assert.Null(session.State.SideProof);
    }

    [Fact]
    public void TheTimeTheHubWasDownCountsAsPartOfTheGap()
    {
        var session = PureSession.At(SessionStage.Testing, supplied: true);
        var lastSeen = session.Now;
        session.Now += TimeSpan.FromMinutes(30);
        session.KitOnline = false;
        session.Happened(LinkDecider.Lost(session.State, session.Facts, lastSeen));
        session.Now += TimeSpan.FromSeconds(3);

        session.Greet();

        Assert.Equal(SessionStage.RoomNoise, session.State.Stage);
        Assert.Null(session.State.SideProof);
    }

    [Fact]
    public void ConsentIsTakenBackHoweverOldThePictureWas()
    {
        var session = PureSession.At(SessionStage.Testing);

        var decision = SessionDecider.Decide(session.State, session.Envelope(new WithdrawConsent("enough")) with { ExpectedVersion = 1 }, PureSession.Maren, session.Context);

        Assert.IsType<Hub.Sessions.Decisions.Decided>(decision);
    }

    [Fact]
    public void AMeasurementFromBeforeALongGapDoesNotOpenTheGateAfterIt()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        var step = session.Must(new OrderStep(new MeasureRoomStep(10), false)).StepId!.Value;
        session.LoseLink();
        session.Now += TimeSpan.FromMinutes(30);
        session.Greet(null, step);

        session.Report(new StepEnded(step, StepEnding.Completed, null, null, Samples.QuietRoom));

        Assert.Null(session.State.Room);
        Assert.False(session.State.StepInHand);
    }

    [Fact]
    public void AStepTheKitNeverSawIsEndedAndNeverReplayed()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(_tone);
        session.LoseLink();

        session.Greet();

        Assert.Equal((StepEnding.Refused, RefusalCodes.LinkLost), (session.State.Step!.Ending, session.State.Step.Code));
        Assert.Equal(SessionStage.Testing, session.State.Stage);
    }

    [Fact]
    public void AStepTheKitHasSeenStaysInHandUntilTheKitSaysHowItEnded()
    {
        var session = PureSession.At(SessionStage.Testing);
        var step = session.Must(_tone).StepId!.Value;
        session.LoseLink();
        session.Greet(null, step);
        Assert.True(session.State.StepInHand);

        session.Report(new StepEnded(step, StepEnding.Interrupted, RefusalCodes.LinkLost, "The link broke.", null));

        Assert.Equal(StepEnding.Interrupted, session.State.Step!.Ending);
    }

    [Fact]
    public void ALoudRoomIsAcceptedWithAReasonOrNotAtAll()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Step(new MeasureRoomStep(10), Samples.LoudRoom);

        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
        session.Must(new AcceptRoom("No quieter room in the house."));
        session.Must(new Advance());
    }

    [Fact]
    public void AProofThatOneEarAloneAnsweredIsAcceptedWithAReasonAndAnyOtherIsNot()
    {
        var session = PureSession.At(SessionStage.SideProof);
        session.Step(new ProveSidesStep(4, 1000, 90), new SideProofResult([new(Ear.Left, Ear.Left), new(Ear.Right, Ear.Left), new(Ear.Left, Ear.Left), new(Ear.Right, null)]));
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new AcceptSides("deaf on the right")).Code);

        session.Step(new ProveSidesStep(4, 1000, 90), new SideProofResult([new(Ear.Left, Ear.Left), new(Ear.Right, null), new(Ear.Left, Ear.Left), new(Ear.Right, null)]));
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
        session.Must(new AcceptSides("Deaf on the right since childhood; the earphone sounds."));
        session.Must(new Advance());

        Assert.Equal(SessionStage.Testing, session.State.Stage);
        Assert.True(session.State.SidesKnown);
    }

    [Fact]
    public void ANewProofTakesTheAcceptanceOfTheOneBeforeAway()
    {
        var session = PureSession.At(SessionStage.SideProof);
        session.Step(new ProveSidesStep(4, 1000, 90), new SideProofResult([new(Ear.Left, Ear.Left), new(Ear.Right, null), new(Ear.Left, Ear.Left), new(Ear.Right, null)]));
        session.Must(new AcceptSides("Deaf on the right."));
        session.Step(new ProveSidesStep(4, 1000, 90), new SideProofResult([new(Ear.Left, Ear.Right), new(Ear.Right, null), new(Ear.Left, Ear.Left), new(Ear.Right, null)]));

        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
    }

    [Fact]
    public void ARoomThatCouldNotBeMeasuredIsAcceptedWithAReasonAndBoundsNothing()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Step(new MeasureRoomStep(10), new RoomResult([], [], [], 10) { NotMeasured = "This kit has no measurement microphone." });

        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
        Assert.Contains(TeleHearing.Hub.Sessions.GateNeeds.Of(SessionStage.RoomNoise, session.State, session.Facts), need => need.Code == "room-accepted" && need.Detail!.Contains("no measurement microphone", StringComparison.Ordinal));
        session.Must(new AcceptRoom("Judged by ear: quiet."));
        session.Must(new Advance());
        Assert.Empty(session.State.Room!.LowestProvable);
    }
}
