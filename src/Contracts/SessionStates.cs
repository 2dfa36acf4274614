using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>Where a session stands. The order of the first twelve is the main line.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<SessionStage>))]
public enum SessionStage
{
    Scheduled,
    Connecting,
    Identity,
    Consent,
    KitCheck,
    RoomNoise,
    EarLook,
    SideProof,
    Testing,
    Review,
    Handoff,
    Closed,

    /// <summary>Held by the clinician.</summary>
    Paused,

    /// <summary>The kit is out of reach.</summary>
    LinkLost,

    /// <summary>Stop was pressed at the site, or consent withdrawn; only the clinician resumes, with a note.</summary>
    Stopped,

    /// <summary>Ended early, with a reason.</summary>
    Aborted,

    /// <summary>Became a visit in person or a referral.</summary>
    Converted,
}

/// <summary>Who supplies something a gate needs.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<Supplier>))]
public enum Supplier
{
    Clinician,
    Assistant,
    PersonTested,
    Kit,
}

/// <summary>Roles a signed-in person may have.</summary>
public static class Roles
{
    public const string Clinician = "clinician";
    public const string Coordinator = "coordinator";
    public const string Owner = "owner";

    /// <summary>Helps at the site, within what a dated sign-off allows.</summary>
    public const string Assistant = "assistant";
}
