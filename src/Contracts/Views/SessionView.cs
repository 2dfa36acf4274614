using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;

namespace TeleHearing.Contracts;

/// <summary>Everything a console shows of one session: a picture of its event log at one version. Holds no truth of its own.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="Version">Number of events it is made from.</param>
/// <param name="DecisiveVersion">Version of the last change of stage or control; a command must expect at least this.</param>
/// <param name="HubTime">Hub time when it was made; the console's expiry times are relative to it.</param>
/// <param name="Person">The person tested.</param>
/// <param name="Place">Where the person is expected to be, e.g. "at home, kit posted".</param>
/// <param name="PlannedStart">Planned start.</param>
/// <param name="Kit">The kit.</param>
/// <param name="Stage">Where the session stands.</param>
/// <param name="ResumeStage">Where it goes on after Paused, LinkLost or Stopped.</param>
/// <param name="StageReason">Why it is where it is, when it left the main line.</param>
/// <param name="Control">Who commands.</param>
/// <param name="Needs">What the current gate needs.</param>
/// <param name="Moves">What may be asked now, and why not when not.</param>
/// <param name="Step">The step in hand or the last one.</param>
/// <param name="Thresholds">Newest measurement per ear and frequency first measured first; earlier ones of the same ear and frequency are in <paramref name="Superseded"/>.</param>
/// <param name="Superseded">Earlier measurements that were repeated.</param>
/// <param name="Averages">Pure-tone averages that could be formed.</param>
/// <param name="Room">Last room measurement.</param>
/// <param name="RoomAcceptedReason">Why a room that hides low levels was accepted.</param>
/// <param name="KitCheck">Last kit check.</param>
/// <param name="SideProof">Last side proof.</param>
/// <param name="EarLooks">Decision per ear.</param>
/// <param name="Identity">The start card as confirmed.</param>
/// <param name="Consent">The newest entry of the consent ledger for each purpose that was answered, in the order of purposes.</param>
/// <param name="Review">Review as recorded.</param>
/// <param name="Handoff">Handoff as recorded.</param>
/// <param name="Message">Message on the kit screen.</param>
/// <param name="HelpWanted">Someone at the site called for help and the clinician has not answered with a message since.</param>
/// <param name="Notes">Notes, oldest first.</param>
/// <param name="Timeline">What happened, oldest first.</param>
/// <param name="Integrity">Whether the log is whole.</param>
public sealed record SessionView(
    SessionId SessionId,
    long Version,
    long DecisiveVersion,
    DateTimeOffset HubTime,
    PersonTested Person,
    string Place,
    DateTimeOffset PlannedStart,
    KitPresence Kit,
    SessionStage Stage,
    SessionStage? ResumeStage,
    string? StageReason,
    ControlView Control,
    IReadOnlyList<GateNeed> Needs,
    IReadOnlyList<Move> Moves,
    StepView? Step,
    IReadOnlyList<ThresholdRecord> Thresholds,
    IReadOnlyList<ThresholdRecord> Superseded,
    IReadOnlyList<AverageView> Averages,
    RoomResult? Room,
    string? RoomAcceptedReason,
    KitCheckResult? KitCheck,
    SideProofResult? SideProof,
    IReadOnlyList<RecordEarLook> EarLooks,
    StartCardView? Identity,
    IReadOnlyList<ConsentEntry> Consent,
    RecordReview? Review,
    RecordHandoff? Handoff,
    string? Message,
    bool HelpWanted,
    IReadOnlyList<NoteView> Notes,
    IReadOnlyList<TimelineEntry> Timeline,
    IntegrityView Integrity)
{
    /// <summary>The session's latest trials across steps, presentations by hand among them, oldest first; at most the last 40. Absent when the hub does not give them.</summary>
    public IReadOnlyList<TrialRecord>? RecentTrials { get; init; }

    /// <summary>What the person wears, as the site has marked it; absent while that is not known.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.Never)]
    public WornGear? Worn { get; init; } = WornGear.Earphones;

    /// <summary>Why a side proof that one ear alone answered was accepted.</summary>
    public string? SidesAcceptedReason { get; init; }

    /// <summary>Where the session's protocol stands; absent while none is chosen.</summary>
    public PlanView? Plan { get; init; }

    /// <summary>How far the results of each ear can be relied on, and why; ears without any are left out.</summary>
    public IReadOnlyList<EarReliability> Reliability { get; init; } = [];

    /// <summary>Trials by hand with a masker, at the ear, route and frequency of the last of them, since a threshold was last measured there; oldest first.</summary>
    public IReadOnlyList<TrialRecord> MaskedByHand { get; init; } = [];

    /// <summary>Purposes the kit's screen asks for and that are not answered yet, in order.</summary>
    public IReadOnlyList<ConsentPurpose> AskedOnScreen { get; init; } = [];

    /// <summary>What is being recorded and where; absent while no recording runs.</summary>
    public string? Recording { get; init; }

    /// <summary>Whether consent to a purpose is given and not taken back.</summary>
    public bool Covers(ConsentPurpose purpose) => Consent.Any(entry => entry.Purpose == purpose && entry.Standing == ConsentStanding.Given);

    /// <summary>Sound dose of the session so far; absent when the hub does not give it.</summary>
    public DoseView? Dose { get; init; }
}

/// <summary>What a person wears.</summary>
/// <param name="Route">By air the earphones; by bone the vibrator at that place.</param>
/// <param name="Ear">Ear to be tested by bone; absent by air.</param>
public sealed record WornGear(ConductionRoute Route, Ear? Ear)
{
    /// <summary>Earphones on both ears, as every session begins.</summary>
    public static WornGear Earphones { get; } = new(ConductionRoute.Air, null);
}

/// <summary>What a protocol asks for next.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<PlanStanding>))]
public enum PlanStanding
{
    /// <summary>A part can be measured.</summary>
    Measure,

    /// <summary>Something else must be put on first.</summary>
    ChangeGear,

    /// <summary>The clinician must decide first.</summary>
    Blocked,

    /// <summary>All is measured that can be.</summary>
    Finished,
}

/// <summary>Where a protocol stands.</summary>
/// <param name="Protocol">The protocol, as stored with the session.</param>
/// <param name="Standing">What it asks for next.</param>
/// <param name="Part">The part in question; absent when finished.</param>
/// <param name="FrequencyHz">Frequency that comes next, in Hz.</param>
/// <param name="Sentence">What comes next and why.</param>
/// <param name="Notes">What the kit cannot play and is left out, and what is to be known of the age that estimates begin from; once finished, everything that is missing or uncertain.</param>
/// <param name="Changes">What the clinician decided otherwise, in words.</param>
public sealed record PlanView(
    TestProtocol Protocol,
    PlanStanding Standing,
    PlanPart? Part,
    int? FrequencyHz,
    string Sentence,
    IReadOnlyList<string> Notes,
    IReadOnlyList<string> Changes)
{
    /// <summary>What the clinician left out and did not ask for since.</summary>
    public IReadOnlyList<LeftOut> LeftOut { get; init; } = [];
}

/// <summary>Something a clinician left out of a plan.</summary>
/// <param name="Part">Part.</param>
/// <param name="FrequencyHz">Frequency in Hz; absent when the whole part is left out.</param>
public sealed record LeftOut(PlanPart Part, int? FrequencyHz);

/// <summary>The sound dose of a session in percent of a day's (85 dB(A) for eight hours, NIOSH 1998). It informs and limits nothing.</summary>
/// <param name="RightPercent">Right ear.</param>
/// <param name="LeftPercent">Left ear.</param>
public sealed record DoseView(double RightPercent, double LeftPercent);

/// <summary>The person tested.</summary>
/// <param name="Reference">Clinic reference, e.g. "P-0107".</param>
/// <param name="Name">Full name.</param>
/// <param name="BirthDate">Date of birth.</param>
/// <param name="Referral">Why they were referred, in a line.</param>
public sealed record PersonTested(string Reference, string Name, DateOnly BirthDate, string Referral)
{
    /// <summary>Language the person reads best, a tag of BCP 47 such as "en"; empty when nobody has said.</summary>
    public string Language { get; init; } = string.Empty;
}

/// <summary>A kit and whether it can be reached.</summary>
public sealed record KitPresence(KitId KitId, bool Online);

/// <summary>Who commands a session.</summary>
/// <param name="Epoch">Rises with every change of hands; 0 before the first.</param>
/// <param name="HolderId">Id of the person in control, if any.</param>
/// <param name="HolderName">Name of the person in control, if any.</param>
public sealed record ControlView(int Epoch, string? HolderId, string? HolderName)
{
    /// <summary>The loan under which the holder commands; absent when control is the holder's own.</summary>
    public ControlLoanView? Loan { get; init; }

    /// <summary>Colleagues who ask for control, oldest first.</summary>
    public IReadOnlyList<ControlRequestView> Requests { get; init; } = [];

    /// <summary>Ids of colleagues who asked and were told that control is kept, until they ask again or it changes hands.</summary>
    public IReadOnlyList<string> DeclinedIds { get; init; } = [];

    /// <summary>A clinician to whom control is offered.</summary>
    public ControlOfferView? Offer { get; init; }

    /// <summary>How control last changed hands or lapsed, in a sentence, e.g. for who had it before.</summary>
    public string? LastChange { get; init; }

    /// <summary>Who had control before that change.</summary>
    public string? HeldBeforeId { get; init; }

    /// <summary>A handoff nobody has acknowledged yet.</summary>
    public HandoffOwner? OpenHandoff { get; init; }
}

/// <summary>Control lent for a bounded task.</summary>
/// <param name="ById">Account id of who lent it and gets it back.</param>
/// <param name="ByName">Name of them.</param>
/// <param name="Tasks">What it is lent for.</param>
/// <param name="Until">Hub time at which it ends by itself.</param>
public sealed record ControlLoanView(string ById, string ByName, IReadOnlyList<AssistantTask> Tasks, DateTimeOffset Until)
{
    /// <summary>Level of a lent side proof, dB HL; absent when none is lent. The assistant's screen does not show it.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? SideProofDbHl { get; init; }
}

/// <summary>A colleague asks for control.</summary>
public sealed record ControlRequestView(string PersonId, string Name, string Why, DateTimeOffset At);

/// <summary>Control is offered to a clinician.</summary>
public sealed record ControlOfferView(string PersonId, string Name, string Why);

/// <summary>Something a gate needs before the session moves on.</summary>
/// <param name="Code">Stable code.</param>
/// <param name="Text">What is needed, in words.</param>
/// <param name="From">Who supplies it.</param>
/// <param name="Met">Whether it is there.</param>
/// <param name="Detail">What is there, or what is missing.</param>
public sealed record GateNeed(string Code, string Text, Supplier From, bool Met, string? Detail);

/// <summary>Something that can be asked.</summary>
/// <param name="Name">Discriminator of the command ("advance", "hold", ...) or of the step ("check-kit", "present-tone", ...).</param>
/// <param name="Allowed">Whether it would be accepted now.</param>
/// <param name="WhyNot">What is in the way, when not.</param>
public sealed record Move(string Name, bool Allowed, string? WhyNot);

/// <summary>A step as the console shows it.</summary>
/// <param name="StepId">Step.</param>
/// <param name="Request">What was asked.</param>
/// <param name="Started">The kit has begun it.</param>
/// <param name="Ending">How it ended; absent while it is in hand.</param>
/// <param name="Code">Refusal code, when it did not complete.</param>
/// <param name="Reason">Why it did not complete.</param>
/// <param name="Trials">Its trials so far.</param>
public sealed record StepView(StepId StepId, StepRequest Request, bool Started, StepEnding? Ending, string? Code, string? Reason, IReadOnlyList<TrialRecord> Trials)
{
    /// <summary>The clinician confirmed levels above 100 dB HL for it.</summary>
    public bool LoudConfirmed { get; init; }

    public bool Running() => Ending is null;
}

/// <summary>A pure-tone average.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Name">"PTA 0.5-1-2" or "PTA 0.5-1-2-4".</param>
/// <param name="LevelDbHl">Average in dB HL, absent when it cannot be formed.</param>
/// <param name="Missing">Why not, e.g. "no threshold at 4000 Hz"; with an average, what must be printed beside it, e.g. "from estimates, a quick look".</param>
public sealed record AverageView(Ear Ear, string Name, double? LevelDbHl, string? Missing);

/// <summary>A note.</summary>
public sealed record NoteView(DateTimeOffset At, string By, string Text);

/// <summary>A line of the session's history.</summary>
public sealed record TimelineEntry(long Sequence, DateTimeOffset At, string Text);

/// <summary>Whether the event log is whole.</summary>
/// <param name="Valid">Every hash fits.</param>
/// <param name="BrokenAtSequence">First event that does not fit; the session is then read-only.</param>
public sealed record IntegrityView(bool Valid, long? BrokenAtSequence);
