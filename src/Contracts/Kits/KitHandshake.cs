using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a kit says first on every connection.</summary>
/// <param name="ProtocolVersion">Version it speaks.</param>
/// <param name="AgentVersion">Version of the site agent.</param>
/// <param name="JournalId">Its journal.</param>
/// <param name="LastSequence">Last sequence in the journal, 0 when empty.</param>
/// <param name="UnfinishedStep">A step it is carrying out now, if any. Steps it was carrying out when it was killed are ended as interrupted before it says hello.</param>
/// <param name="OrdersSeen">Ids of steps it has accepted in the current session, finished ones among them.</param>
public sealed record KitHello(int ProtocolVersion, string AgentVersion, JournalId JournalId, long LastSequence, StepId? UnfinishedStep, IReadOnlyList<StepId> OrdersSeen)
{
    /// <summary>The kit's gear with its calibration; absent from an agent that does not tell it.</summary>
    public KitGear? Gear { get; init; }

    /// <summary>A <see cref="KitHelloProof"/> signed with the kit's key; without it the kit is not served.</summary>
    public string? Proof { get; init; }

    /// <summary>Heads of the hub's chains the kit was told last; absent from an agent that keeps none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<HeldHead>? HeldHeads { get; init; }
}

/// <summary>The hub's answer.</summary>
/// <param name="Refusal">Why the kit is not served; the rest is then empty.</param>
/// <param name="AcknowledgedSequence">Last journal sequence the hub holds durably; the kit resends from the next.</param>
/// <param name="JournalKeyBase64">256-bit key of the kit's journal. It lives in the kit's memory only, so that a lost kit's disk is unreadable once the kit is revoked.</param>
/// <param name="Scene">What the kit screen shows.</param>
/// <param name="Lease">A grant to set the kit's estimate of the hub's time.</param>
public sealed record KitWelcome(Refusal? Refusal, long AcknowledgedSequence, string? JournalKeyBase64, KitScene? Scene, LeaseGrant? Lease)
{
    /// <summary>A <see cref="KitWelcomeProof"/> signed with the hub's key; absent with a refusal.</summary>
    public string? Proof { get; init; }

    /// <summary>Newest heads of the hub's chains, for the kit to hold: the audit, and the session in hand.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<HeldHead>? Heads { get; init; }
}

/// <summary>What the kit screen may know. Never a level, a "tone now" or an expected side, never a name of the person tested.</summary>
/// <param name="SessionId">The session in hand, if any.</param>
/// <param name="Stage">Where it stands; decides the coach card.</param>
/// <param name="ResumeStage">Where it goes on after Paused, LinkLost or Stopped.</param>
/// <param name="ClinicianName">Name of the clinician in control, shown at the site.</param>
/// <param name="Message">Written message from the clinician, shown large.</param>
/// <param name="AssistantDone">Whether the card of this stage is marked done.</param>
/// <param name="RunningStep">Kind of step in hand ("measure-room", "prove-sides", "search" or "present"; absent when none), so that the screen can show the response pad or the two side buttons.</param>
/// <param name="Stopped">Whether a stop at the site is waiting for the clinician.</param>
public sealed record KitScene(
    SessionId? SessionId,
    SessionStage Stage,
    SessionStage? ResumeStage,
    string? ClinicianName,
    string? Message,
    bool AssistantDone,
    string? RunningStep,
    bool Stopped)
{
    /// <summary>Epoch of control: the kit refuses every order of an older one from the moment it reads this. Absent without a session.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public int? ControlEpoch { get; init; }

    /// <summary>Who led before, when that changed since the session entered this stage.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? LedBefore { get; init; }

    /// <summary>The assistant who does a part of the session now, by name.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? AssistantName { get; init; }

    /// <summary>The question of consent that waits for an answer on the screen; absent when none does.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ConsentQuestion? Question { get; init; }

    /// <summary>Words on the button that takes consent back; absent when nothing is given.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? TakeBack { get; init; }

    /// <summary>Whether the session is being recorded.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool Recording { get; init; }

    /// <summary>Registration of the clinician in control, in a line, once a card was confirmed that it counts for; absent otherwise.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? ClinicianRegistration { get; init; }

    /// <summary>The session that goes on at the kit: begun and not over. Absent when nothing does.</summary>
    public SessionId? OpenSession() => Stage is SessionStage.Scheduled or SessionStage.Closed or SessionStage.Aborted or SessionStage.Converted ? null : SessionId;
}

/// <summary>What a kit posts to <see cref="Protocol.EnrolPath"/>.</summary>
/// <param name="Code">One-time enrolment code.</param>
/// <param name="PublicKeyPem">Public key of the kit's ECDSA P-256 pair (SubjectPublicKeyInfo, PEM).</param>
/// <param name="ProtocolVersion">Version it speaks.</param>
public sealed record EnrolRequest(string Code, string PublicKeyPem, int ProtocolVersion);

/// <summary>Answer to an enrolment: either a kit id or a refusal.</summary>
public sealed record EnrolReply(KitId? KitId, Refusal? Refusal)
{
    /// <summary>Public half of the key the hub signs its orders with (SubjectPublicKeyInfo, PEM); absent with a refusal. The kit takes orders of no other.</summary>
    public string? HubKeyPem { get; init; }
}
