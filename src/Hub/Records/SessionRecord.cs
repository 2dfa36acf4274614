using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Records;

/// <summary>What a session came to, with its evidence, as a file: record.json. Names the person tested by clinic reference only.</summary>
/// <param name="Format">Number of this shape; fields are added, never renamed.</param>
/// <param name="SessionId">Session.</param>
/// <param name="PersonReference">Clinic reference of the person tested.</param>
/// <param name="Place">Where the person was expected to be.</param>
/// <param name="PlannedStart">Planned start.</param>
/// <param name="KitId">Kit.</param>
/// <param name="Stage">Where the session stands.</param>
/// <param name="StageReason">Why, when it is off the main line or ended early.</param>
/// <param name="Stages">Every stage it went through, in order.</param>
/// <param name="Identity">Every confirmation of identity and place: when and by whom, not what.</param>
/// <param name="Consents">Consent as it was recorded on one sheet, before each purpose had an entry, and until when it held.</param>
/// <param name="KitChecks">Every kit check.</param>
/// <param name="Rooms">Every room measurement.</param>
/// <param name="RoomsAccepted">Every time a room was accepted as it was.</param>
/// <param name="EarLooks">Every decision about an ear.</param>
/// <param name="SideProofs">Every side proof.</param>
/// <param name="Thresholds">Every threshold measurement with all its presentations.</param>
/// <param name="Averages">Pure-tone averages of the measurements that stand.</param>
/// <param name="Review">The review.</param>
/// <param name="Handoff">The handoff.</param>
/// <param name="Notes">Notes.</param>
/// <param name="Integrity">Whether the log is whole.</param>
/// <param name="EventCount">Events the record is made from.</param>
/// <param name="HeadHash">Hash of the last one, hexadecimal: with it a copy of the log can be proven to be the same.</param>
public sealed record SessionRecord(
    int Format,
    SessionId SessionId,
    string PersonReference,
    string Place,
    DateTimeOffset PlannedStart,
    KitId KitId,
    SessionStage Stage,
    string? StageReason,
    IReadOnlyList<StageVisit> Stages,
    IReadOnlyList<Attested> Identity,
    IReadOnlyList<ConsentHeld> Consents,
    IReadOnlyList<Evidence<KitCheckResult>> KitChecks,
    IReadOnlyList<Evidence<RoomResult>> Rooms,
    IReadOnlyList<Decided<AcceptRoom>> RoomsAccepted,
    IReadOnlyList<Decided<RecordEarLook>> EarLooks,
    IReadOnlyList<Evidence<SideProofResult>> SideProofs,
    IReadOnlyList<ThresholdEvidence> Thresholds,
    IReadOnlyList<AverageView> Averages,
    Decided<RecordReview>? Review,
    Decided<RecordHandoff>? Handoff,
    IReadOnlyList<NoteView> Notes,
    IntegrityView Integrity,
    long EventCount,
    string HeadHash)
{
    /// <summary>Side proofs that were accepted though one ear alone answered.</summary>
    public IReadOnlyList<Decided<AcceptSides>> SidesAccepted { get; init; } = [];

    /// <summary>Every protocol chosen, whole, the last one the one in force.</summary>
    public IReadOnlyList<Decided<TestProtocol>> Protocols { get; init; } = [];

    /// <summary>Every decision against the protocol.</summary>
    public IReadOnlyList<Decided<PlanOverride>> PlanChanges { get; init; } = [];

    /// <summary>Who commanded, and how control and the next step changed hands, oldest first.</summary>
    public IReadOnlyList<TimelineEntry> Control { get; init; } = [];

    /// <summary>How far the results of each ear can be relied on, and why.</summary>
    public IReadOnlyList<EarReliability> Reliability { get; init; } = [];

    /// <summary>Every entry of the consent ledger, oldest first, those from a sheet among them.</summary>
    public IReadOnlyList<ConsentEntry> ConsentEntries { get; init; } = [];
}

/// <summary>Who did something, when, at which event.</summary>
/// <param name="Sequence">Sequence of the event in the log.</param>
/// <param name="At">Hub time.</param>
/// <param name="ById">Account id.</param>
/// <param name="ByName">Name as it was then.</param>
public sealed record Attested(long Sequence, DateTimeOffset At, string ById, string ByName);

/// <summary>Something a person decided.</summary>
public sealed record Decided<T>(Attested By, T What);

/// <summary>Something a kit measured.</summary>
/// <param name="Sequence">Sequence of the event in the log.</param>
/// <param name="At">Hub time when it was held.</param>
/// <param name="OrderedBy">Who asked for it.</param>
/// <param name="Result">What was measured.</param>
public sealed record Evidence<T>(long Sequence, DateTimeOffset At, Attested? OrderedBy, T Result);

/// <summary>A stay at a stage.</summary>
/// <param name="Stage">Stage.</param>
/// <param name="From">When it was entered.</param>
/// <param name="Until">When it was left; absent for the last one.</param>
/// <param name="Reason">Why, when it is off the main line or ended early.</param>
public sealed record StageVisit(SessionStage Stage, DateTimeOffset From, DateTimeOffset? Until, string? Reason);

/// <summary>Consent and how long it held.</summary>
/// <param name="Given">When and recorded by whom.</param>
/// <param name="Consent">What was consented to.</param>
/// <param name="EndedAt">When it was withdrawn or replaced; absent while it holds.</param>
/// <param name="WithdrawnReason">The reason, when it was withdrawn.</param>
public sealed record ConsentHeld(Attested Given, ConsentSheet Consent, DateTimeOffset? EndedAt, string? WithdrawnReason);

/// <summary>A threshold measurement and everything it rests on. Sequences point into this record and into the log.</summary>
/// <param name="Sequence">Sequence of the measurement.</param>
/// <param name="At">Hub time when it was held.</param>
/// <param name="Threshold">The measurement with every presentation, the noise during each, and the gear with its certificate.</param>
/// <param name="Superseded">A later measurement of the same ear and frequency stands instead.</param>
/// <param name="OrderedBy">Who asked for it.</param>
/// <param name="LoudConfirmed">Levels above 100 dB HL were confirmed for it.</param>
/// <param name="ConsentSequence">Consent to the test in force when it was asked for.</param>
/// <param name="PersonsPresent">Who was present, as confirmed.</param>
/// <param name="KitCheckSequence">Kit check in force.</param>
/// <param name="RoomSequence">Room measurement in force.</param>
/// <param name="RoomAcceptedReason">Why the room was accepted, when it hid low levels.</param>
/// <param name="SideProofSequence">Side proof in force; absent when only one ear could be covered.</param>
/// <param name="EarLookSequence">Decision about this ear in force.</param>
public sealed record ThresholdEvidence(
    long Sequence,
    DateTimeOffset At,
    ThresholdRecord Threshold,
    bool Superseded,
    Attested? OrderedBy,
    bool LoudConfirmed,
    long? ConsentSequence,
    string? PersonsPresent,
    long? KitCheckSequence,
    long? RoomSequence,
    string? RoomAcceptedReason,
    long? SideProofSequence,
    long? EarLookSequence);
