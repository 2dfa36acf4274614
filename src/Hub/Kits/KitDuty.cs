using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Kits;

/// <summary>What the hub owes a kit because of the session it is in.</summary>
/// <param name="SessionId">The session.</param>
/// <param name="Version">Version of the session it is made from.</param>
/// <param name="Open">The session is begun and not over.</param>
/// <param name="SoundMayBeOn">A step that makes sound is in hand and permitted, so the lease is renewed often. Off the main line and without consent it is not: what was not cut falls silent.</param>
/// <param name="Scene">What the kit screen shows.</param>
internal sealed record KitDuty(SessionId? SessionId, long Version, bool Open, bool SoundMayBeOn, KitScene Scene)
{
    /// <summary>The step in hand; null when there is none.</summary>
    public StepId? Step { get; init; }

    /// <summary>A kit without a session.</summary>
    public static KitDuty None { get; } = new(null, 0, false, false, new KitScene(null, SessionStage.Scheduled, null, null, null, false, null, false));

    public static KitDuty Of(SessionState state) => new(
        state.SessionId,
        state.Version,
        Stages.IsOpen(state.Stage),
        Stages.IsWorking(state.Stage) && ConsentPurposes.Needed.All(state.Consent.Covers) && state.Step is { InHand: true, CutAsked: false } step && step.Order.Request.MakesSound,
        SceneOf(state))
    {
        Step = state.Step is { InHand: true } inHand ? inHand.StepId : null,
    };

    /// <summary>The picture for the site: never a level, a side, a tone, or a name of the person tested.</summary>
    private static KitScene SceneOf(SessionState state) => new(
        state.SessionId,
        state.Stage,
        state.ResumeStage,
        (state.Control.Loan?.By ?? state.Holder)?.Name,
        state.Message,
        state.CardsDone.Contains(state.Stage),
        state.Step is { InHand: true } step ? KindOf(step.Order.Request) : null,
        state.Stage == SessionStage.Stopped)
    {
        ControlEpoch = state.Epoch,
        LedBefore = state.Control.LedBefore,
        AssistantName = state.Control.Loan is null ? null : state.Holder?.Name,
        Question = Question(state),
        TakeBack = Stages.IsOpen(state.Stage) && state.Consent.AnyGiven ? TakeBack(state) : null,
        Recording = state.Recording is not null,
        ClinicianRegistration = state.Identity is { Standing: RegistrationStanding.Matches, Registration: { } shown } card && card.By.Id == (state.Control.Loan?.By ?? state.Holder)?.Id ? shown.ToString() : null,
    };

    private static ConsentQuestion? Question(SessionState state)
    {
        if (state.ConsentAsked is not { Texts: [var next, ..] left } || !Stages.IsWorking(state.Stage))
        {
            return null;
        }

        var asked = state.LastAskedOnScreen!.Texts.Count;
        return new ConsentQuestion(next, asked - left.Count + 1, asked);
    }

    /// <summary>In the language that was asked in last on the screen; else in plain English, as everything else on the screen.</summary>
    private static string TakeBack(SessionState state) =>
        state.LastAskedOnScreen is { Texts: [var text, ..] } ? text.TakeBack : "I no longer agree";

    private static string? KindOf(StepRequest request) => request switch
    {
        MeasureRoomStep => "measure-room",
        ProveSidesStep => "prove-sides",
        PresentToneStep => "present",
        SearchThresholdStep or SearchEarStep or MeasurePartStep => "search",
        _ => null,
    };
}
