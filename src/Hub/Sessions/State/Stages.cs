using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions.State;

/// <summary>Facts about stages.</summary>
internal static class Stages
{
    /// <summary>The main line in order.</summary>
    public static IReadOnlyList<SessionStage> MainLine { get; } =
        [.. Enum.GetValues<SessionStage>().Where(stage => stage <= SessionStage.Closed)];

    /// <summary>Stages at which the clinician works through the session.</summary>
    public static IReadOnlyList<SessionStage> Working { get; } =
        [.. MainLine.Where(stage => stage is > SessionStage.Scheduled and < SessionStage.Closed)];

    public static IReadOnlyList<SessionStage> Over { get; } = [SessionStage.Closed, SessionStage.Aborted, SessionStage.Converted];

    public static bool IsOver(SessionStage stage) => Over.Contains(stage);

    /// <summary>Begun and not over.</summary>
    public static bool IsOpen(SessionStage stage) => stage != SessionStage.Scheduled && !IsOver(stage);

    /// <summary>On the way from Connecting to Handoff.</summary>
    public static bool IsWorking(SessionStage stage) => Working.Contains(stage);

    /// <summary>Stages that rest on a room measurement or a side proof.</summary>
    public static bool RestsOnRoomAndSides(SessionStage stage) => stage is > SessionStage.RoomNoise and <= SessionStage.Testing;

    /// <summary>Name in a sentence.</summary>
    public static string InWords(SessionStage stage) => stage switch
    {
        SessionStage.Scheduled => "scheduled",
        SessionStage.Connecting => "connecting",
        SessionStage.Identity => "who and where",
        SessionStage.Consent => "consent",
        SessionStage.KitCheck => "kit check",
        SessionStage.RoomNoise => "room noise",
        SessionStage.EarLook => "ear look",
        SessionStage.SideProof => "side proof",
        SessionStage.Testing => "testing",
        SessionStage.Review => "review",
        SessionStage.Handoff => "handoff",
        SessionStage.Closed => "closed",
        SessionStage.Paused => "on hold",
        SessionStage.LinkLost => "link lost",
        SessionStage.Stopped => "stopped",
        SessionStage.Aborted => "ended early",
        SessionStage.Converted => "converted",
        _ => stage.ToString(),
    };
}
