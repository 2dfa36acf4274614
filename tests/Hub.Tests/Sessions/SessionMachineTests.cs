using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Tests.Support;

namespace TeleHearing.Hub.Tests.Sessions;

/// <summary>What every stage permits, once everything it needs is there. Source: the project's own design, "Session states" and "What never bends".</summary>
public sealed class SessionMachineTests
{
    private const string Always = "ReleaseControl RequestControl TakeOverControl OfferControl ControlLapsed AddNote SayOnScreen Abort Convert StopPressed";

    private const string Asking = Always + " LendControl AnswerConsent AskConsentOnScreen";

    private static readonly Dictionary<SessionStage, string> _permitted = new()
    {
        [SessionStage.Scheduled] = "TakeControl",
        [SessionStage.Connecting] = Always + " Advance Hold",
        [SessionStage.Identity] = Always + " Advance Hold StepBack LinkLost ConfirmIdentity",
        [SessionStage.Consent] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent",
        [SessionStage.KitCheck] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent CheckKit",
        [SessionStage.RoomNoise] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent MeasureRoom AcceptRoom",
        [SessionStage.EarLook] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent RecordEarLook",
        [SessionStage.SideProof] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent ProveSides WearGear",
        [SessionStage.Testing] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent MeasureRoom PresentTone SearchThreshold SearchEar WearGear ChooseProtocol",
        [SessionStage.Review] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent RecordReview",
        [SessionStage.Handoff] = Asking + " ConfirmIdentity Advance Hold StepBack LinkLost WithdrawConsent RecordHandoff AcknowledgeHandoff",
        [SessionStage.Closed] = "AcknowledgeHandoff WithdrawConsent",
        [SessionStage.Paused] = Always + " LendControl ConfirmIdentity Resume WithdrawConsent",
        [SessionStage.LinkLost] = Always + " LendControl ConfirmIdentity Hold LinkRestored WithdrawConsent",
        [SessionStage.Stopped] = Always + " LendControl ConfirmIdentity Resume WithdrawConsent",
        [SessionStage.Aborted] = "WithdrawConsent",
        [SessionStage.Converted] = "WithdrawConsent",
    };

    public static TheoryData<SessionStage, string> Everything()
    {
        var rows = new TheoryData<SessionStage, string>();
        foreach (var stage in Enum.GetValues<SessionStage>())
        {
            foreach (var trigger in Enum.GetNames<SessionTrigger>())
            {
                rows.Add(stage, trigger);
            }
        }

        return rows;
    }

    [Theory]
    [MemberData(nameof(Everything))]
    public void EveryStagePermitsWhatItShouldAndNothingElse(SessionStage stage, string trigger)
    {
        var session = Reach(stage);

        var whyNot = new SessionMachine(session.State, session.Facts).WhyNot(Enum.Parse<SessionTrigger>(trigger));

        var expected = _permitted[stage].Split(' ').Contains(trigger);
        Assert.True(expected == whyNot is null, $"{stage}, {trigger}: {whyNot?.Sentence ?? "permitted"}");

        // Asked about one thing alone it says the same.
        Assert.Equal(whyNot, SessionMachine.WhyNot(session.State, session.Facts, Enum.Parse<SessionTrigger>(trigger)));
    }

    [Theory]
    [InlineData(SessionStage.Connecting)]
    [InlineData(SessionStage.Identity)]
    [InlineData(SessionStage.Consent)]
    [InlineData(SessionStage.KitCheck)]
    [InlineData(SessionStage.RoomNoise)]
    [InlineData(SessionStage.EarLook)]
    [InlineData(SessionStage.SideProof)]
    [InlineData(SessionStage.Testing)]
    [InlineData(SessionStage.Review)]
    [InlineData(SessionStage.Handoff)]
    public void EveryGateNamesEverythingThatIsMissing(SessionStage stage)
    {
        var session = PureSession.At(stage);
        session.KitOnline = stage != SessionStage.Connecting;

        var refusal = session.Refusal(new Advance());

        Assert.Equal(RefusalCodes.GateNotMet, refusal.Code);
        var unmet = GateNeeds.Of(stage, session.State, session.Facts).Where(need => !need.Met).ToList();
        Assert.NotEmpty(unmet);
        Assert.All(unmet, need => Assert.Contains(need.Text, refusal.Sentence, StringComparison.Ordinal));
    }

    internal static PureSession Reach(SessionStage stage)
    {
        if (stage <= SessionStage.Closed)
        {
            return PureSession.At(stage, supplied: stage != SessionStage.Closed);
        }

        var session = PureSession.At(SessionStage.Testing, supplied: true);
        switch (stage)
        {
            case SessionStage.Paused:
                session.Must(new Hold(null));
                break;
            case SessionStage.LinkLost:
                session.LoseLink();
                session.KitOnline = true;
                break;
            case SessionStage.Stopped:
                session.Report(new StopPressed());
                break;
            case SessionStage.Aborted:
                session.Must(new Abort("ill"));
                break;
            case SessionStage.Converted:
                session.Must(new ConvertSession(ConversionTarget.Visit, "wax"));
                break;
        }

        Assert.Equal(stage, session.State.Stage);
        return session;
    }
}
