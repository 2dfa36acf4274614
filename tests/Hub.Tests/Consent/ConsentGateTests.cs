using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Consent;

/// <summary>Every purpose gates what it covers at the moment of use, and its no ends what rests on it.</summary>
public sealed class ConsentGateTests
{
    public static TheoryData<ConsentPurpose> Needed => [ConsentPurpose.Care, ConsentPurpose.RemoteMode];

    [Theory]
    [MemberData(nameof(Needed))]
    public void WithoutCareAndTheDistanceTheGateStaysShut(ConsentPurpose missing)
    {
        var session = PureSession.At(SessionStage.Consent);
        session.Must(Samples.Answers([.. ConsentPurposes.All.Except([missing])]));

        var refusal = session.Refusal(new Advance());

        Assert.Equal(RefusalCodes.GateNotMet, refusal.Code);
        Assert.Contains(ConsentPurposes.InWords(missing), refusal.Sentence, StringComparison.Ordinal);
        session.Must(Samples.Consent);
        session.Must(new Advance());
    }

    [Theory]
    [InlineData(false, true)]
    [InlineData(true, false)]
    public void ThePlanForFailureAndTheVisitBelongToTheEntry(bool plan, bool visit)
    {
        var session = PureSession.At(SessionStage.Consent);
        session.Must(Samples.Consent with { FailurePlanExplained = plan, InPersonOffered = visit });

        Assert.Contains(plan ? "A visit in person is offered" : "What happens when the technique fails", session.Refusal(new Advance()).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void ANoThatAClinicianRecordsIsNotKeptAsSaidAtTheSite()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(Samples.Answers(ConsentPurpose.RemoteMode, ConsentPurpose.Assistant));
        Assert.Equal("the answer about the hearing test is no now; Maren Toft recorded it", session.State.History.Select(recorded => recorded.Event).OfType<SessionStopped>().Single().Reason);

        var site = PureSession.At(SessionStage.Testing);
        site.Report(new ConsentTakenBackHere());
        Assert.Equal("said at the site", site.State.History.Select(recorded => recorded.Event).OfType<SessionStopped>().Single().Reason);
    }

    [Fact]
    public void WhoeverLeadsKeepsTheirRegistrationOnTheKitsScreenWhileATaskIsLent()
    {
        var session = PureSession.At(SessionStage.Testing);
        var card = (StartCardConfirmed)session.State.History.Last(recorded => recorded.Event is StartCardConfirmed).Event;
        session.Happened(card with { Standing = RegistrationStanding.Matches, Registration = new RegistrationShown("CA-NS", "A-1042", "Audiologist", new DateOnly(2027, 1, 1)) });
        var shown = KitDuty.Of(session.State).Scene.ClinicianRegistration;
        Assert.NotNull(shown);

        session.Must(new LendControl("ada", [AssistantTask.RoomNoise], 10));

        Assert.Equal(shown, KitDuty.Of(session.State).Scene.ClinicianRegistration);
    }

    [Fact]
    public void AnAssistantsTaskNeedsConsentToTheAssistant()
    {
        var wear = new OrderStep(new WearGearStep(ConductionRoute.BoneMastoid, Ear.Right), false);
        var session = AtTestingWith(ConsentPurpose.Care, ConsentPurpose.RemoteMode);

        var refusal = session.Refusal(wear);

        Assert.Equal(RefusalCodes.ConsentMissing, refusal.Code);
        Assert.Contains("an assistant being present", refusal.Sentence, StringComparison.Ordinal);
        session.Must(Samples.Consent);
        session.Must(wear);
    }

    [Theory]
    [InlineData(EarPicture.Seen)]
    [InlineData(EarPicture.Kept)]
    public void APictureOfAnEarNeedsConsentToPictures(EarPicture picture)
    {
        var look = Samples.Clear(Ear.Right) with { Picture = picture };
        var session = PureSession.At(SessionStage.EarLook);
        session.Must(new WithdrawConsent("no pictures") { Purposes = [ConsentPurpose.Images] });

        Assert.Equal(RefusalCodes.ConsentMissing, session.Refusal(look).Code);
        Assert.Contains("pictures (taken back)", session.Refusal(look).Sentence, StringComparison.Ordinal);
        session.Must(Samples.Clear(Ear.Right));
        session.Must(Samples.Consent);
        session.Must(look);
    }

    [Fact]
    public void ARecordingNeedsConsentAndStandsInTheWayOnceItIsTakenBack()
    {
        var session = PureSession.At(SessionStage.Testing);
        Assert.Equal(RefusalCodes.ConsentMissing, session.Refusal(new DeclareRecording(true, "sound")).Code);

        session.Must(Samples.Answers([.. ConsentPurposes.All]));
        session.Must(new DeclareRecording(true, "sound, on the clinic's disk"));
        Assert.True(KitDuty.Of(session.State).Scene.Recording);

        session.Must(new WithdrawConsent("not that") { Purposes = [ConsentPurpose.Recording] });
        Assert.Equal(SessionStage.Testing, session.State.Stage);
        Assert.Contains("recording is ended", session.Refusal(new OrderStep(new MeasureRoomStep(10), false)).Sentence, StringComparison.Ordinal);

        session.Must(new DeclareRecording(false, "ended and deleted"));
        session.Must(new OrderStep(new MeasureRoomStep(10), false));
    }

    [Fact]
    public void AHandoffToOthersNeedsConsentToSharing()
    {
        var outside = Samples.Handoff with { SharedWith = "the family doctor" };
        var session = PureSession.At(SessionStage.Handoff);
        session.Must(new WithdrawConsent("not to my doctor") { Purposes = [ConsentPurpose.Sharing] });

        Assert.Contains("sharing results with others", session.Refusal(outside).Sentence, StringComparison.Ordinal);
        Assert.Contains("sharing results with others", session.Refusal(Samples.Handoff).Sentence, StringComparison.Ordinal);
        session.Must(Samples.Handoff with { Owner = null });
        session.Must(Samples.Consent);
        session.Must(outside);
    }

    [Theory]
    [InlineData(ConsentPurpose.Care, true)]
    [InlineData(ConsentPurpose.RemoteMode, true)]
    [InlineData(ConsentPurpose.Assistant, true)]
    [InlineData(ConsentPurpose.Images, false)]
    [InlineData(ConsentPurpose.Sharing, false)]
    public void WhatTestingRestsOnEndsItAndTheRestDoesNot(ConsentPurpose purpose, bool ends)
    {
        var session = PureSession.At(SessionStage.Testing, supplied: true);
        var step = session.Must(new OrderStep(new MeasureRoomStep(10), false)).StepId!.Value;

        var decided = session.Must(new WithdrawConsent("no") { Purposes = [purpose] });
        var cuts = decided.Effects.OfType<EndStep>().Select(effect => effect.StepId);

        Assert.Equal(ends ? SessionStage.Stopped : SessionStage.Testing, session.State.Stage);
        Assert.Equal(ends, cuts.Contains(step));
        Assert.Single(session.State.Thresholds);
        Assert.Equal(ConsentStanding.Withdrawn, session.State.Consent.Of(purpose)!.Standing);
    }

    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void ANoToWhatWasAgreedEndsTestingLikeTakingItBack(bool onScreen)
    {
        var session = PureSession.At(SessionStage.Testing);
        if (onScreen)
        {
            session.Report(new ConsentAnsweredHere(ConsentPurpose.Care, "en", 1, Given: false));
        }
        else
        {
            session.Must(Samples.Answers(ConsentPurpose.RemoteMode));
        }

        Assert.Equal(SessionStage.Stopped, session.State.Stage);
        session.Must(new Resume("They want to talk."));
        Assert.Equal(SessionStage.Consent, session.State.Stage);
        Assert.Equal(RefusalCodes.GateNotMet, session.Refusal(new Advance()).Code);
        session.Must(Samples.Consent);
        session.Must(new Advance());
    }

    [Fact]
    public void TheScreenAsksAndItsAnswersBecomeEntries()
    {
        var session = PureSession.At(SessionStage.Consent);
        session.Must(new AskConsentOnScreen([ConsentPurpose.Care, ConsentPurpose.RemoteMode], "es", new ConsentParty("R. Hale", "guardian", null), true, true));
        var question = KitDuty.Of(session.State).Scene.Question!;
        Assert.Equal((ConsentPurpose.Care, "es", 1, 2), (question.Text.Purpose, question.Text.Language, question.Place, question.Of));

        session.Report(new ConsentAnsweredHere(ConsentPurpose.Care, "es", 1, Given: true));
        Assert.Equal(2, KitDuty.Of(session.State).Scene.Question!.Place);
        session.Report(new ConsentAnsweredHere(ConsentPurpose.RemoteMode, "es", 1, Given: true));

        Assert.Null(KitDuty.Of(session.State).Scene.Question);
        Assert.Equal("Ya no acepto", KitDuty.Of(session.State).Scene.TakeBack);
        var entry = session.State.Consent.Of(ConsentPurpose.Care)!;
        Assert.Equal((ConsentMeans.KitScreen, "R. Hale (guardian)", "the kit's screen", "es"), (entry.How!.Value, entry.By.InWords(), entry.RecordedBy, entry.Text.Language));
        Assert.Equal(Hub.Consent.ShippedConsentTexts.All.Single(text => text.Purpose == ConsentPurpose.Care && text.Language == "es").Shown().Fingerprint, entry.Text.Fingerprint);
        session.Must(new Advance());
    }

    [Fact]
    public void AYesToWhatIsNotAskedAnyMoreCountsForNothing()
    {
        var session = PureSession.At(SessionStage.Consent);

        Assert.IsType<Refused>(session.Report(new ConsentAnsweredHere(ConsentPurpose.Care, "en", 1, Given: true)));
        Assert.False(session.State.Consent.AnyGiven);
        session.Must(new AskConsentOnScreen([ConsentPurpose.Care], "en", ConsentParty.Themself, true, true));
        Assert.IsType<Refused>(session.Report(new ConsentAnsweredHere(ConsentPurpose.Care, "en", 9, Given: true)));
    }

    [Theory]
    [InlineData(SessionStage.Connecting)]
    [InlineData(SessionStage.KitCheck)]
    [InlineData(SessionStage.Testing)]
    [InlineData(SessionStage.Handoff)]
    public void NoLongerAgreeingAtTheSiteStopsTheSession(SessionStage stage)
    {
        var session = PureSession.At(stage);

        session.Report(new ConsentTakenBackHere());

        Assert.Equal(SessionStage.Stopped, session.State.Stage);
        Assert.False(session.State.Consent.AnyGiven);
        Assert.True(KitDuty.Of(session.State).Scene.Stopped);
    }

    [Fact]
    public void NoLongerAgreeingAtTheSiteIsRecordedAlsoWhereNothingIsGivenAndTheSessionIsStopped()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new WithdrawConsent("not today"));
        var before = session.State.Version;

        // The kit keeps silent until it has seen a picture made with its press, and pictures follow events.
        session.Report(new ConsentTakenBackHere());

        Assert.Equal(before + 1, session.State.Version);
        Assert.Empty(Assert.IsType<ConsentTakenBack>(session.State.History[^1].Event).Purposes);
        Assert.Equal(SessionStage.Stopped, session.State.Stage);
    }

    [Fact]
    public void AnyClinicianTakesItDownAlsoWhenTheSessionIsOver()
    {
        var session = PureSession.At(SessionStage.Closed);

        session.Must(new WithdrawConsent("not to my doctor any more") { Purposes = [ConsentPurpose.Sharing] }, PureSession.Ivo);

        Assert.Equal(SessionStage.Closed, session.State.Stage);
        Assert.False(session.State.Consent.Covers(ConsentPurpose.Sharing));
        Assert.Equal(RefusalCodes.SessionOver, session.Refusal(Samples.Consent).Code);
    }

    [Fact]
    public void TheOrderCarriesWhatIsCoveredNow()
    {
        var session = AtTestingWith(ConsentPurpose.Care, ConsentPurpose.RemoteMode);
        session.Must(new OrderStep(new MeasureRoomStep(10), false));

        Assert.Equal([ConsentPurpose.Care, ConsentPurpose.RemoteMode], session.State.Step!.Order.Covered);
    }

    [Fact]
    public void ATextTheClinicDoesNotKeepIsNotAnswered()
    {
        var session = PureSession.At(SessionStage.Consent);

        Assert.Contains("keeps no such text", session.Refusal(Samples.Consent with { Language = "xx" }).Sentence, StringComparison.Ordinal);
        Assert.Contains("keeps no such text", session.Refusal(Samples.Consent with { Replies = [new(ConsentPurpose.Care, true, 7)] }).Sentence, StringComparison.Ordinal);
    }

    [Fact]
    public void NothingIsMeasuredWhileTheScreenAsks()
    {
        var session = PureSession.At(SessionStage.Testing);
        session.Must(new AskConsentOnScreen([ConsentPurpose.Recording], "en", ConsentParty.Themself, true, true));

        Assert.Contains("question of consent", session.Refusal(new OrderStep(new MeasureRoomStep(10), false)).Sentence, StringComparison.Ordinal);
        session.Must(Samples.Answers(ConsentPurpose.Care, ConsentPurpose.RemoteMode, ConsentPurpose.Assistant));
        session.Must(new OrderStep(new MeasureRoomStep(10), false));
    }

    private static PureSession AtTestingWith(params ConsentPurpose[] given)
    {
        var session = PureSession.At(SessionStage.Testing);
        var back = session.State.Consent.Covered.Except(given).ToList();
        session.Must(new WithdrawConsent("changed") { Purposes = back });
        if (session.State.Stage == SessionStage.Stopped)
        {
            session.Must(new Resume("went on"));
        }

        Assert.Equal(SessionStage.Testing, session.State.Stage);
        return session;
    }
}
