using TeleHearing.Contracts;

namespace TeleHearing.Clinician.Web.Words;

/// <summary>Stages in the reader's words.</summary>
public static class StageWords
{
    /// <summary>The main line in order.</summary>
    public static IReadOnlyList<SessionStage> MainLine { get; } = [.. Enum.GetValues<SessionStage>().Where(stage => stage <= SessionStage.Closed)];

    /// <summary>Name of a stage.</summary>
    public static string Name(SessionStage stage) => stage switch
    {
        SessionStage.Scheduled => "Scheduled",
        SessionStage.Connecting => "Connecting",
        SessionStage.Identity => "Who and where",
        SessionStage.Consent => "Consent",
        SessionStage.KitCheck => "Kit check",
        SessionStage.RoomNoise => "Room noise",
        SessionStage.EarLook => "Ear look",
        SessionStage.SideProof => "Side proof",
        SessionStage.Testing => "Testing",
        SessionStage.Review => "Review",
        SessionStage.Handoff => "Handoff",
        SessionStage.Closed => "Closed",
        SessionStage.Paused => "On hold",
        SessionStage.LinkLost => "Kit out of reach",
        SessionStage.Stopped => "Stopped at the site",
        SessionStage.Aborted => "Ended early",
        _ => "Turned into something else",
    };

    /// <summary>What a stage is for, in one line.</summary>
    public static string Aim(SessionStage stage) => stage switch
    {
        SessionStage.Scheduled => "Take control when you are ready to begin.",
        SessionStage.Connecting => "Wait until the kit is there and its screen is ready.",
        SessionStage.Identity => "Make sure who is there, and where help would have to go.",
        SessionStage.Consent => "Record what the person agrees to, purpose by purpose.",
        SessionStage.KitCheck => "Prove that this kit is in calibration and works.",
        SessionStage.RoomNoise => "Measure what the room lets you prove.",
        SessionStage.EarLook => "Decide for each ear whether it may be covered.",
        SessionStage.SideProof => "Prove that right is right and left is left.",
        SessionStage.Testing => "Find the thresholds.",
        SessionStage.Review => "Answer the warning signs and judge the results.",
        SessionStage.Handoff => "Make sure the person leaves with one clear message.",
        _ => string.Empty,
    };

    /// <summary>Who supplies something.</summary>
    public static string Name(Supplier supplier) => supplier switch
    {
        Supplier.Clinician => "you",
        Supplier.Assistant => "the assistant",
        Supplier.PersonTested => "the person",
        _ => "the kit",
    };

    /// <summary>Whether a session has ended for good.</summary>
    public static bool IsOver(SessionStage stage) => stage is SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted;

    /// <summary>The stage of the main line whose panel is shown: the one in hand, or the one it goes on at.</summary>
    public static SessionStage Shown(SessionView view) => view.Stage <= SessionStage.Closed ? view.Stage : view.ResumeStage ?? view.Stage;
}
