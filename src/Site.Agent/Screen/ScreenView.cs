using TeleHearing.Contracts;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>What fills the middle of the screen.</summary>
public enum ScreenMode
{
    Card,

    /// <summary>The response pad.</summary>
    Pad,

    /// <summary>The two side buttons.</summary>
    Sides,

    /// <summary>A question of consent.</summary>
    Consent,
}

/// <summary>How the top line looks.</summary>
public enum LinkTone
{
    Good,
    Waiting,
    Bad,
}

/// <summary>Everything the kit screen shows, ready to draw.</summary>
/// <param name="LinkText">The line about the link.</param>
/// <param name="LinkTone">How it looks.</param>
/// <param name="Mode">What fills the middle.</param>
/// <param name="Card">The coach card.</param>
/// <param name="Note">A line about what the kit does now; absent when there is none.</param>
/// <param name="Message">Written message of the clinician.</param>
/// <param name="MessageFrom">Who wrote it.</param>
/// <param name="CanMarkDone">Whether the Done button is there.</param>
/// <param name="Done">Whether the card is marked done.</param>
/// <param name="CanCallHelp">Whether the help button works.</param>
/// <param name="HelpCalled">Whether help was called and not answered yet.</param>
public sealed record ScreenView(
    string LinkText,
    LinkTone LinkTone,
    ScreenMode Mode,
    CoachCard Card,
    string? Note,
    string? Message,
    string? MessageFrom,
    bool CanMarkDone,
    bool Done,
    bool CanCallHelp,
    bool HelpCalled)
{
    /// <summary>The question of consent; absent when none waits.</summary>
    public ConsentQuestion? Question { get; init; }

    /// <summary>Words on the button that takes consent back; absent when there is nothing to take back.</summary>
    public string? TakeBack { get; init; }

    private const string ProveSides = "prove-sides";
    private const string MeasureRoom = "measure-room";

    /// <summary>Whether the card has something to do or to say that must stay in sight beside the case: one of a session in hand.</summary>
    public bool CardBesideCase => Card.CanBeDone;

    /// <summary>Decides what is shown.</summary>
    /// <param name="now">What the kit knows of hub, link and faults.</param>
    /// <param name="stopPressed">Whether stop is pressed.</param>
    /// <param name="running">The step in hand on the kit.</param>
    /// <remarks>
    /// The pad stays for the whole of the listening stage: if it came with each step, its coming would announce the tone.
    /// </remarks>
    internal static ScreenView Of(KitScreenState.Picture now, bool stopPressed, StepRequest? running)
    {
        var scene = now.Scene is { SessionId: not null } ? now.Scene : null;
        var linked = now.Link == LinkState.Linked;
        var stopped = stopPressed || scene is { Stopped: true } or { Stage: SessionStage.Stopped };
        var listening = scene?.Stage is SessionStage.Testing or SessionStage.SideProof;
        var card =
            stopped ? CoachCards.For(SessionStage.Stopped)
            : now.Link == LinkState.Refused ? CoachCards.NotServed
            : scene is null ? (now.Link == LinkState.Starting ? CoachCards.Starting : CoachCards.Ready)
            : !linked && listening ? CoachCards.Reconnecting
            : running is WearGearStep wear ? CoachCards.ForGear(wear.Route, wear.Ear)
            : CoachCards.For(scene.Stage);
        var question = scene?.Question is { } asked && asked != now.Answered ? asked : null;
        var mode =
            !stopped && question is not null ? ScreenMode.Consent
            : stopped || !linked || running is WearGearStep ? ScreenMode.Card
            : scene?.Stage == SessionStage.Testing ? ScreenMode.Pad
            : scene?.Stage == SessionStage.SideProof && (running is ProveSidesStep || scene.RunningStep == ProveSides) ? ScreenMode.Sides
            : ScreenMode.Card;
        var listens = linked && !stopped && (running is MeasureRoomStep || scene?.RunningStep == MeasureRoom);
        return new ScreenView(
            LinkLine(now, scene),
            linked ? LinkTone.Good : now.Link == LinkState.Refused ? LinkTone.Bad : LinkTone.Waiting,
            mode,
            card,
            now.Fault ?? (listens ? "The kit is listening to the room now. Please keep still." : LeadLine(scene) ?? (scene is { Recording: true } ? "This session is being recorded." : null)),
            string.IsNullOrWhiteSpace(scene?.Message) ? null : scene.Message,
            scene?.ClinicianName,
            card.CanBeDone && mode == ScreenMode.Card && scene is not null,
            scene is { AssistantDone: true } && running is not WearGearStep,
            scene is not null,
            now.HelpCalled)
        {
            Question = mode == ScreenMode.Consent ? question : null,
            TakeBack = stopped ? null : scene?.TakeBack,
        };
    }

    /// <summary>Who leads, when that has just changed or is nobody.</summary>
    private static string? LeadLine(KitScene? scene) => scene switch
    {
        { AssistantName: { } assistant, ClinicianName: { } clinician } => $"{assistant} does this part. {clinician} stays with you.",
        { ClinicianName: { } leads, LedBefore: { } before } => $"{leads} leads now, instead of {before}.",
        { ClinicianName: null, ControlEpoch: > 0, Stage: not (SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted) } => "Nobody leads at this moment. Please wait; you do not need to do anything.",
        _ => null,
    };

    private static string LinkLine(KitScreenState.Picture now, KitScene? scene) => now.Link switch
    {
        LinkState.Linked when scene is { ClinicianName: { Length: > 0 } named, ClinicianRegistration: { Length: > 0 } registered } => $"Connected to your clinician, {named}: {registered}",
        LinkState.Linked when scene is { ClinicianName: { Length: > 0 } name } => $"Connected to your clinician, {name}",
        LinkState.Linked when scene is not null => "Connected to your clinician",
        LinkState.Linked => "Connected to your clinic",
        LinkState.Away => "Please wait - reconnecting. You do not need to do anything.",
        LinkState.Refused => now.LinkSentence ?? "The clinic does not know this kit.",
        _ => "Connecting to your clinic. You do not need to do anything.",
    };
}
