using TeleHearing.Audiology;
using TeleHearing.Audiology.Levels;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.Signals;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Views;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>Exactly one person commands, from the instant control changes hands. Source: the project's own design, "Session states".</summary>
public sealed class ControlTests
{
    private static readonly OrderStep _tone = new(new PresentToneStep(Ear.Right, 1000, 40, ToneShape.Steady, 1000), false);
    private static readonly TimeSpan _long = TimeSpan.FromSeconds(46);

    [Fact]
    public void AColleagueAsksAndIsGranted()
    {
        var session = PureSession.At(SessionStage.Testing);
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new GrantControl("ivo")).Code);
        session.Must(new RequestControl("to show the masking"), PureSession.Ivo);
        Assert.Equal(RefusalCodes.ControlNotAsked, session.Refusal(new GrantControl("maren")).Code);
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(new GrantControl("ivo"), PureSession.Ivo).Code);

        session.Must(new GrantControl("ivo"));

        Assert.Equal(("ivo", 2), (session.State.Holder!.Id, session.State.Epoch));
        Assert.Empty(session.State.Control.Asks);
        Assert.Equal("Ivo Lindqvist is in control, not you.", session.Refusal(_tone).Sentence);
        session.Must(Samples.Identity, PureSession.Ivo);
        session.Must(_tone, PureSession.Ivo);
    }

    [Fact]
    public void WhoIsDeclinedMayAskAgainAndIsNotInControl()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new RequestControl("to show the masking"), PureSession.Ivo);
        session.Must(new DeclineControl("ivo", "nearly done"));

        Assert.Empty(session.State.Control.Asks);
        Assert.Equal(["ivo"], ControlViews.Of(session.State).DeclinedIds);
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(_tone, PureSession.Ivo).Code);
        session.Must(new RequestControl("now?"), PureSession.Ivo);
        Assert.Empty(ControlViews.Of(session.State).DeclinedIds);
        session.Must(new RequestControl("please"), PureSession.Ivo);
        Assert.Equal("please", Assert.Single(session.State.Control.Asks).Why);
    }

    [Fact]
    public void TakingOverCutsWhatSoundsAndRefusesTheOldHolder()
    {
        var session = PureSession.At(SessionStage.Testing);
        var step = session.Must(_tone).StepId!.Value;
        var late = session.Envelope(new CutStep(step));

        var taken = session.Must(new TakeOverControl("she does not answer"), PureSession.Ivo);

        Assert.Equal([new EndStep(step)], taken.Effects);
        Assert.True(session.State.Step!.CutAsked);
        Assert.Equal("maren", session.State.Control.Before!.Id);
        Assert.Equal(RefusalCodes.NotInControl, Refused(session, late));
        Assert.Equal(RefusalCodes.ControlHeld, session.Refusal(new TakeOverControl("again"), PureSession.Ivo).Code);

        // Back in control, what she asked under her old epoch still counts for nothing.
        session.Report(new StepEnded(step, StepEnding.Cut, null, null, null));
        session.Must(new TakeOverControl("I am back"));
        Assert.Equal(RefusalCodes.OldEpoch, Refused(session, late with { ExpectedVersion = session.State.Version }));
    }

    [Fact]
    public void AnOfferIsAcceptedByItsClinicianAlone()
    {
        var session = PureSession.At(SessionStage.Testing);
        Assert.Equal(RefusalCodes.PersonUnfit, session.Refusal(new OfferControl("ada", "to go on")).Code);
        Assert.Equal(RefusalCodes.PersonUnfit, session.Refusal(new OfferControl("maren", "to go on")).Code);
        Assert.Equal(RefusalCodes.PersonUnfit, session.Refusal(new OfferControl("nobody", "to go on")).Code);
        session.Must(new OfferControl("ivo", "to supervise the masking"));
        Assert.Equal(RefusalCodes.ControlNotOffered, session.Refusal(new AcceptControl()).Code);

        // Until it is accepted the holder goes on.
        var step = session.Must(_tone).StepId!.Value;
        Assert.Equal(RefusalCodes.StepRunning, session.Refusal(new AcceptControl(), PureSession.Ivo).Code);
        session.Report(new StepEnded(step, StepEnding.Completed, null, null, null));
        session.Must(new AcceptControl(), PureSession.Ivo);

        Assert.Equal(("ivo", 2), (session.State.Holder!.Id, session.State.Epoch));
        Assert.Null(session.State.Control.Offer);
    }

    [Fact]
    public void AnOfferIsEndedFromEitherSide()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new OfferControl("ivo", "to supervise"));
        session.Must(new EndOffer("not now"), PureSession.Ivo);
        Assert.Equal(RefusalCodes.ControlNotOffered, session.Refusal(new AcceptControl(), PureSession.Ivo).Code);
        session.Must(new OfferControl("ivo", "to supervise"));
        session.Must(new EndOffer(null));
        Assert.Null(session.State.Control.Offer);
        Assert.Equal(1, session.State.Epoch);
    }

    [Fact]
    public void AnAssistantDoesTheTaskLentAndNothingElse()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        Assert.Equal(RefusalCodes.PersonUnfit, session.Refusal(new LendControl("ivo", [AssistantTask.RoomNoise], 10)).Code);
        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));

        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(new AddNote("mine")).Code);
        foreach (var beyond in new SessionCommand[] { new Advance(), new Resume("on"), new AcceptRoom("quiet enough"), new AddNote("note"), new SayOnScreen("hello"), new Abort("end"), new ReleaseControl(), new LendControl("ada", [AssistantTask.Coach], 60), new OfferControl("ivo", "take it"), new OrderStep(new CheckKitStep(), false), _tone })
        {
            Assert.Equal(RefusalCodes.BeyondTask, session.Refusal(beyond, PureSession.Ada).Code);
        }

        session.Must(new OrderStep(new MeasureRoomStep(10), false), PureSession.Ada);
        session.Must(new CutStep(session.State.Step!.StepId), PureSession.Ada);
        session.Report(new StepEnded(session.State.Step.StepId, StepEnding.Cut, null, null, null));
        session.Must(new GiveBackControl(), PureSession.Ada);

        Assert.Equal(("maren", 3), (session.State.Holder!.Id, session.State.Epoch));
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(new OrderStep(new MeasureRoomStep(10), false), PureSession.Ada).Code);
    }

    [Fact]
    public void ASideProofLouderThanItWasLentWaitsForTheClinician()
    {
        var session = PureSession.At(SessionStage.SideProof);
        session.Must(new LendControl("ada", [AssistantTask.SideProof], 10) { SideProofDbHl = 40 });

        Assert.Equal(RefusalCodes.BeyondTask, session.Refusal(new OrderStep(new ProveSidesStep(4, 1000, 105), true), PureSession.Ada).Code);
        Assert.Equal(RefusalCodes.BeyondTask, session.Refusal(new OrderStep(new ProveSidesStep(4, 1000, 45), false), PureSession.Ada).Code);
        session.Must(new OrderStep(new ProveSidesStep(4, 1000, 40), false), PureSession.Ada);
    }

    [Fact]
    public void WhatGoesIntoTheCanalNeedsItsSignOffWhenItIsLentAndAgainWhenItIsOrdered()
    {
        var session = PureSession.At(SessionStage.SideProof);
        session.Must(new LendControl("ada", [AssistantTask.PlaceEarphones, AssistantTask.BoneVibrator], 10));
        session.Must(new OrderStep(new WearGearStep(ConductionRoute.Air, null), false), PureSession.Ada);
        session.Report(new StepEnded(session.State.Step!.StepId, StepEnding.Completed, null, null, null));

        // The same loan with insert earphones: what was lent for over the ears is not lent for into them.
        var inserts = Inserts();
        inserts.Must(new LendControl("ada", [AssistantTask.PlaceEarphones, AssistantTask.BoneVibrator], 10));
        Assert.Equal(RefusalCodes.BeyondTask, inserts.Refusal(new OrderStep(new WearGearStep(ConductionRoute.Air, null), false), PureSession.Ada).Code);

        // Withdrawn in the middle of a loan, it stops the next order.
        var signed = Inserts();
        signed.Must(new LendControl("ada", [AssistantTask.InsertTips], 10));
        signed.NotSignedOff = [AssistantTask.InsertTips];
        var refused = signed.Refusal(new OrderStep(new WearGearStep(ConductionRoute.Air, null), false), PureSession.Ada);
        Assert.Equal((RefusalCodes.BeyondTask, "This needs a sign-off in date to put in insert tips, which you do not have."), (refused.Code, refused.Sentence));
        signed.NotSignedOff = [];
        signed.Must(new OrderStep(new WearGearStep(ConductionRoute.Air, null), false), PureSession.Ada);
    }

    [Theory]
    [InlineData(TransducerKind.SupraAural, AssistantTask.PlaceEarphones)]
    [InlineData(TransducerKind.Circumaural, AssistantTask.PlaceEarphones)]
    [InlineData(TransducerKind.Insert, AssistantTask.InsertTips)]
    [InlineData(TransducerKind.HighFrequencyInsert, AssistantTask.InsertTips)]
    [InlineData(null, AssistantTask.InsertTips)]
    public void WhatAnOrderNeedsFollowsTheKitsEarphones(TransducerKind? kind, AssistantTask earphones)
    {
        var state = PureSession.At(SessionStage.Testing).State;
        state = state with { KitCheck = kind is { } known ? state.KitCheck! with { Gear = state.KitCheck.Gear! with { TransducerKind = known } } : null };

        Assert.Equal([earphones], ControlTasks.Needed(new WearGearStep(ConductionRoute.Air, null), state));
        Assert.Equal([AssistantTask.SideProof, earphones], ControlTasks.Needed(new ProveSidesStep(4, 1000, 50), state));

        // By bone the other ear gets an earphone, ready for a masker.
        Assert.Equal([AssistantTask.BoneVibrator, earphones], ControlTasks.Needed(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Left), state));
        Assert.Equal([AssistantTask.RoomNoise], ControlTasks.Needed(new MeasureRoomStep(10), state));
        Assert.Empty(ControlTasks.Needed(_tone.Request, state));
    }

    [Fact]
    public void NothingIsLentToAnAssistantWhoIsNotAgreedToNorPicturesWithoutConsentToThem()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Must(Consented([ConsentPurpose.Care, ConsentPurpose.RemoteMode, ConsentPurpose.Assistant]));
        Assert.Equal(RefusalCodes.ConsentMissing, session.Refusal(new LendControl("ada", [AssistantTask.EarPicture], 10)).Code);
        Assert.Equal(RefusalCodes.ConsentMissing, PureSession.At(SessionStage.Connecting).Refusal(new LendControl("ada", [AssistantTask.RoomNoise], 10)).Code);
        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));
    }

    [Fact]
    public void AnAssistantWhoIsNotAgreedToAnyMoreHasNoTaskAndMakesNoSound()
    {
        var session = PureSession.At(SessionStage.SideProof);
        session.Must(new LendControl("ada", [AssistantTask.SideProof], 10) { SideProofDbHl = 50 });
        var step = session.Must(new OrderStep(new ProveSidesStep(4, 1000, 50), false), PureSession.Ada).StepId!.Value;

        var back = session.Must(new WithdrawConsent("nobody else, please") { Purposes = [ConsentPurpose.Assistant] });

        Assert.Equal([new EndStep(step)], back.Effects);
        Assert.Equal(("maren", 3, SessionStage.Stopped), (session.State.Holder!.Id, session.State.Epoch, session.State.Stage));
        Assert.Null(session.State.Control.Loan);
        Assert.Equal(ControlLoanEnd.Consent, session.State.History.Select(recorded => recorded.Event).OfType<ControlReturned>().Single().End);
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(new Hold(null), PureSession.Ada).Code);
    }

    [Fact]
    public void ALoanOfAnOlderLogWithoutConsentToAnAssistantCoversSilenceAlone()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Happened(new ControlLentBefore(2, new Actor("ada", "Ada Wiksell"), [TaskLentBefore.RoomNoise, TaskLentBefore.WearGear], session.Now.AddMinutes(10), new Actor("maren", "Maren Toft")));
        Assert.Equal([AssistantTask.RoomNoise, AssistantTask.PlaceEarphones, AssistantTask.BoneVibrator], session.State.Control.Loan!.Tasks);
        session.Happened(new ConsentAnswered(ConsentPurpose.Assistant, false, new ConsentTextShown("1", "en", "00ff"), ConsentParty.Themself, ConsentMeans.Spoken, true, true, new Actor("maren", "Maren Toft")));

        Assert.Equal(RefusalCodes.ConsentMissing, session.Refusal(new OrderStep(new MeasureRoomStep(10), false), PureSession.Ada).Code);
        session.Must(new Hold(null), PureSession.Ada);
        session.Must(new GiveBackControl(), PureSession.Ada);
    }

    [Fact]
    public void WhoNoLongerAgreesAtTheSiteStopsTheSessionWhateverWasAgreedToBefore()
    {
        var session = PureSession.At(SessionStage.Consent);
        session.Must(Consented([ConsentPurpose.Sharing]));

        session.Report(new ConsentTakenBackHere());

        // The kit is held until somebody resumes, so the session must be where one can.
        Assert.Equal(SessionStage.Stopped, session.State.Stage);
        Assert.Empty(session.State.Consent.Covered);
        session.Must(new Resume("they agree again"));
    }

    [Fact]
    public void TheClinicianTakesBackAtOnceAlsoOnAnOldPicture()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));
        var step = session.Must(new OrderStep(new MeasureRoomStep(10), false), PureSession.Ada).StepId!.Value;
        Assert.Equal(RefusalCodes.ControlNotLent, session.Refusal(new TakeBackControl(), PureSession.Ivo).Code);

        var back = session.Must(new TakeBackControl());

        Assert.Equal([new EndStep(step)], back.Effects);
        Assert.Equal("maren", session.State.Holder!.Id);
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(new Hold(null), PureSession.Ada).Code);
    }

    [Fact]
    public void ALoanEndsByItselfAndIsOverBeforeAnybodyLooks()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));
        session.Now += TimeSpan.FromMinutes(10);

        Assert.Equal(RefusalCodes.BeyondTask, session.Refusal(new OrderStep(new MeasureRoomStep(10), false), PureSession.Ada).Code);

        // Silence is refused to nobody whose epoch it is, however the clocks stand.
        var late = session.Envelope(new Hold(null));
        Assert.IsType<Hub.Sessions.Decisions.Decided>(SessionDecider.Decide(session.State, late, PureSession.Ada, session.Context));
        session.Due(TimeSpan.Zero);

        Assert.Equal(ControlLoanEnd.TimeOver, Assert.IsType<ControlReturned>(session.State.History[^1].Event).End);
        Assert.Equal(("maren", SessionStage.RoomNoise), (session.State.Holder!.Id, session.State.Stage));
    }

    [Fact]
    public void ASilentAssistantsControlFallsToWhoLentIt()
    {
        var session = PureSession.At(SessionStage.RoomNoise);
        session.Must(new RequestControl("to help"), PureSession.Ivo);
        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));
        session.Due(TimeSpan.FromSeconds(45));
        Assert.Equal("ada", session.State.Holder!.Id);

        session.Due(_long);

        Assert.Equal("maren", session.State.Holder!.Id);
        Assert.Single(session.State.Control.Asks);
    }

    [Fact]
    public void ALoanOfWhoIsGoneEndsInSilenceWhateverTheAssistantDoes()
    {
        var session = PureSession.At(SessionStage.SideProof);
        session.Must(new LendControl("ada", [AssistantTask.SideProof], 60) { SideProofDbHl = 50 });
        var step = session.Must(new OrderStep(new ProveSidesStep(4, 1000, 50), false), PureSession.Ada).StepId!.Value;
        session.Due(TimeSpan.Zero, TimeSpan.FromSeconds(45));
        Assert.Equal("ada", session.State.Holder!.Id);

        session.Due(TimeSpan.Zero, _long);

        Assert.Equal("maren", Assert.IsType<ControlLapsed>(session.State.History[^1].Event).From.Id);
        Assert.Equal((SessionStage.Paused, null, null), (session.State.Stage, session.State.Holder, session.State.Control.Loan));
        Assert.True(session.State.Step!.CutAsked);
        session.Report(new StepEnded(step, StepEnding.Cut, null, null, null));
        Assert.Equal(RefusalCodes.NotInControl, session.Refusal(new OrderStep(new ProveSidesStep(4, 1000, 50), false), PureSession.Ada).Code);
        session.Must(new TakeControl(), PureSession.Ivo);
    }

    [Fact]
    public void ASilentHolderLosesControlAndTheSessionIsHeld()
    {
        var session = PureSession.At(SessionStage.Testing);
        var step = session.Must(_tone).StepId!.Value;
        var late = session.Envelope(new Hold(null));

        session.Due(_long);

        Assert.Equal((SessionStage.Paused, SessionStage.Testing), (session.State.Stage, session.State.ResumeStage!.Value));
        Assert.Null(session.State.Holder);
        Assert.Equal(2, session.State.Epoch);
        Assert.True(session.State.Step!.CutAsked);
        Assert.Equal(RefusalCodes.NotInControl, Refused(session, late));
        session.Report(new StepEnded(step, StepEnding.Cut, null, null, null));
        session.Must(new TakeControl(), PureSession.Ivo);
        session.Must(new Resume(null), PureSession.Ivo);
        Assert.Equal(SessionStage.Testing, session.State.Stage);
    }

    [Fact]
    public void AKitThatComesBackDoesNotGoOnWithNobodyThere()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.LoseLink();
        session.Due(_long);
        session.Greet();

        Assert.Equal((SessionStage.Paused, SessionStage.Testing), (session.State.Stage, session.State.ResumeStage!.Value));
    }

    [Fact]
    public void AStopStaysAStopWhenControlLapses()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Report(new StopPressed());
        session.Due(_long);

        Assert.Equal(SessionStage.Stopped, session.State.Stage);
        Assert.Null(session.State.Holder);
        session.Must(new TakeControl(), PureSession.Ivo);
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Resume(null), PureSession.Ivo).Code);
    }

    [Fact]
    public void AHandoffStaysOpenUntilItsOwnerHasIt()
    {
        var session = PureSession.At(SessionStage.Handoff);
        Assert.Equal(RefusalCodes.PersonUnfit, session.Refusal(Samples.Handoff with { Owner = new HandoffOwner("ada", "Ada") }).Code);
        session.Must(Samples.Handoff with { Owner = new HandoffOwner("ivo", "somebody") });
        session.Report(new AssistantDone(SessionStage.Handoff));
        session.Must(new Advance());
        Assert.Equal((SessionStage.Closed, new HandoffOwner("ivo", "Ivo Lindqvist")), (session.State.Stage, session.State.OpenHandoff));

        Assert.Equal(RefusalCodes.HandoffNotYours, session.Refusal(new AcknowledgeHandoff(null)).Code);
        session.Must(new AcknowledgeHandoff(null), PureSession.Ivo);

        Assert.Null(session.State.OpenHandoff);
        Assert.Equal(RefusalCodes.SessionOver, session.Refusal(new TakeOverControl("more"), PureSession.Ivo).Code);
    }

    [Fact]
    public void NothingIsHandedToOrWaitsForSomebodyWhoIsGone()
    {
        var session = PureSession.At(SessionStage.Handoff);
        session.Must(new RequestControl("to help"), PureSession.Ivo);
        session.Must(Samples.Handoff with { Owner = new HandoffOwner("ivo", "Ivo") });
        session.Closed.Add("ivo");

        Assert.Equal(RefusalCodes.PersonUnfit, session.Refusal(new GrantControl("ivo")).Code);
        var refused = session.Refusal(new AcknowledgeHandoff(null));
        Assert.Equal((RefusalCodes.Invalid, "The next step was handed to Ivo Lindqvist, who is not here any more."), (refused.Code, refused.Sentence));
        session.Must(new AcknowledgeHandoff("I take it up myself"));
        Assert.Null(session.State.OpenHandoff);
    }

    [Fact]
    public void SharingTakenBackReachesAHandoffThatIsRecordedAlready()
    {
        var session = PureSession.At(SessionStage.Handoff);
        session.Must(Samples.Handoff);
        session.Report(new AssistantDone(SessionStage.Handoff));
        session.Must(new WithdrawConsent("nobody else") { Purposes = [ConsentPurpose.Sharing] });

        Assert.Equal(SessionStage.Handoff, session.State.Stage);
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
        session.Must(Samples.Handoff with { Owner = new HandoffOwner("maren", "Maren") });
        session.Must(new Advance());
    }

    [Fact]
    public void AnOutsidePartysAcknowledgementIsRecordedWithHowAndOnesOwnIsThereAlready()
    {
        var session = PureSession.At(SessionStage.Handoff);
        session.Must(Samples.Handoff);
        Assert.Equal(RefusalCodes.Invalid, session.Refusal(new AcknowledgeHandoff(" ")).Code);
        session.Must(new AcknowledgeHandoff("their office called back"), PureSession.Ivo);
        Assert.Null(session.State.OpenHandoff);

        session.Must(Samples.Handoff with { Owner = new HandoffOwner("maren", "Maren") });
        Assert.Null(session.State.OpenHandoff);
    }

    private static AnswerConsent Consented(ConsentPurpose[] given) => Samples.Answers(given);

    /// <summary>A session whose kit has insert earphones.</summary>
    private static PureSession Inserts()
    {
        var session = PureSession.At(SessionStage.KitCheck);
        session.Step(new CheckKitStep(), Samples.KitCheck with { Gear = Samples.KitCheck.Gear! with { TransducerKind = TransducerKind.Insert } });
        session.Report(new AssistantDone(SessionStage.KitCheck));
        session.Must(new Advance());
        foreach (var _ in new[] { SessionStage.RoomNoise, SessionStage.EarLook })
        {
            session.Supply();
            session.Must(new Advance());
        }

        return session;
    }

    private static string Refused(PureSession session, CommandEnvelope envelope) =>
        Assert.IsType<Refused>(SessionDecider.Decide(session.State, envelope, PureSession.Maren, session.Context)).Refusal.Code;
}
