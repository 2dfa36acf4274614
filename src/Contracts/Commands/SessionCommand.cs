using System.Text.Json.Serialization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone.Planning;

namespace TeleHearing.Contracts;

/// <summary>What a clinician can ask of a session.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "command")]
[JsonDerivedType(typeof(TakeControl), "take-control")]
[JsonDerivedType(typeof(ReleaseControl), "release-control")]
[JsonDerivedType(typeof(RequestControl), "request-control")]
[JsonDerivedType(typeof(GrantControl), "grant-control")]
[JsonDerivedType(typeof(DeclineControl), "decline-control")]
[JsonDerivedType(typeof(TakeOverControl), "take-over-control")]
[JsonDerivedType(typeof(OfferControl), "offer-control")]
[JsonDerivedType(typeof(AcceptControl), "accept-control")]
[JsonDerivedType(typeof(EndOffer), "end-offer")]
[JsonDerivedType(typeof(LendControl), "lend-control")]
[JsonDerivedType(typeof(GiveBackControl), "give-back-control")]
[JsonDerivedType(typeof(TakeBackControl), "take-back-control")]
[JsonDerivedType(typeof(AcknowledgeHandoff), "acknowledge-handoff")]
[JsonDerivedType(typeof(ConfirmIdentity), "confirm-identity")]
[JsonDerivedType(typeof(AnswerConsent), "answer-consent")]
[JsonDerivedType(typeof(AskConsentOnScreen), "ask-consent-on-screen")]
[JsonDerivedType(typeof(WithdrawConsent), "withdraw-consent")]
[JsonDerivedType(typeof(DeclareRecording), "declare-recording")]
[JsonDerivedType(typeof(RecordEarLook), "record-ear-look")]
[JsonDerivedType(typeof(AcceptRoom), "accept-room")]
[JsonDerivedType(typeof(AcceptSides), "accept-sides")]
[JsonDerivedType(typeof(OrderStep), "order-step")]
[JsonDerivedType(typeof(ChooseProtocol), "choose-protocol")]
[JsonDerivedType(typeof(ChangePlan), "change-plan")]
[JsonDerivedType(typeof(CutStep), "cut-step")]
[JsonDerivedType(typeof(Advance), "advance")]
[JsonDerivedType(typeof(StepBack), "step-back")]
[JsonDerivedType(typeof(Hold), "hold")]
[JsonDerivedType(typeof(Resume), "resume")]
[JsonDerivedType(typeof(AddNote), "add-note")]
[JsonDerivedType(typeof(SayOnScreen), "say-on-screen")]
[JsonDerivedType(typeof(RecordReview), "record-review")]
[JsonDerivedType(typeof(RecordHandoff), "record-handoff")]
[JsonDerivedType(typeof(Abort), "abort")]
[JsonDerivedType(typeof(ConvertSession), "convert")]
public abstract record SessionCommand;


/// <summary>What was seen in an ear.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<EarFinding>))]
public enum EarFinding
{
    Clear,
    SomeWax,
    BlockedByWax,
    DischargeOrBlood,
    PainOnTouch,
    ForeignBody,
    PerforationOrTube,
    RecentSurgery,

    /// <summary>The person declined, or no usable view was had.</summary>
    NotSeen,
    Other,
}

/// <summary>Whether an ear was looked at by a picture.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<EarPicture>))]
public enum EarPicture
{
    /// <summary>No picture was used.</summary>
    None,

    /// <summary>Seen on a picture that is kept nowhere.</summary>
    Seen,

    /// <summary>A picture was taken and is kept with the clinic's papers.</summary>
    Kept,
}

/// <summary>The clinician's decision about one ear before anything covers or enters it.</summary>
/// <param name="Ear">Ear.</param>
/// <param name="Finding">What was seen.</param>
/// <param name="SafeToCover">Whether the transducer may go on this ear.</param>
/// <param name="Reason">Needed when the finding is not clear or some wax, or the ear was not seen, and it is still covered; or when it is not covered.</param>
public sealed record RecordEarLook(Ear Ear, EarFinding Finding, bool SafeToCover, string? Reason) : SessionCommand
{
    /// <summary>Whether a picture was used; anything but none needs consent to pictures.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public EarPicture Picture { get; init; }
}

/// <summary>Go on in a room that hides low levels; its bounds then limit the results.</summary>
public sealed record AcceptRoom(string Reason) : SessionCommand;

/// <summary>A side proof that one ear alone answered is accepted: the other ear is known to hear nothing at that level.</summary>
/// <param name="Reason">How that is known, and that the earphone on that ear is known to sound.</param>
public sealed record AcceptSides(string Reason) : SessionCommand;

/// <summary>A recording of sound or picture of the session begins or ends, by whatever means. Beginning one needs consent to recording; the kit's screen shows that one runs.</summary>
/// <param name="Runs">Whether it runs from now on.</param>
/// <param name="What">What is recorded and where it is kept.</param>
public sealed record DeclareRecording(bool Runs, string What) : SessionCommand;

/// <summary>Ask the kit for a step.</summary>
/// <param name="Request">The step.</param>
/// <param name="LoudConfirmed">The clinician has confirmed levels above 100 dB HL for this step. Without it the hub's ceiling is 100 dB HL.</param>
public sealed record OrderStep(StepRequest Request, bool LoudConfirmed) : SessionCommand;

/// <summary>Run the session by a protocol. It is stored with the session as it is now; choosing another later keeps what was measured.</summary>
/// <param name="ProtocolId">Id of the protocol.</param>
/// <param name="Version">Version of it.</param>
public sealed record ChooseProtocol(string ProtocolId, int Version) : SessionCommand;

/// <summary>Decide otherwise than the protocol: leave something out, add or repeat something, begin an ear again.</summary>
public sealed record ChangePlan(PlanOverride Change) : SessionCommand;

/// <summary>Cut the running step now. The running trial is void.</summary>
public sealed record CutStep(StepId StepId) : SessionCommand;

/// <summary>Leave this gate for the next state.</summary>
public sealed record Advance : SessionCommand;

/// <summary>Go back one state on the main line.</summary>
public sealed record StepBack : SessionCommand;

/// <summary>Hold: silence now, session paused.</summary>
public sealed record Hold(string? Reason) : SessionCommand;

/// <summary>Go on after a hold or a stop. After a stop a note is needed.</summary>
public sealed record Resume(string? Note) : SessionCommand;

/// <summary>A note for the record.</summary>
public sealed record AddNote(string Text) : SessionCommand;

/// <summary>Show a written message on the kit screen; empty takes it away.</summary>
public sealed record SayOnScreen(string Text) : SessionCommand;

/// <summary>What a warning sign leads to.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<WarningAction>))]
public enum WarningAction
{
    NoneNeeded,
    RoutineReferral,
    UrgentReferral,
    SameDay,
    Emergency,
}

/// <summary>The answer about one warning sign.</summary>
/// <param name="Sign">Code of <see cref="WarningSigns"/>.</param>
/// <param name="Present">True, false, or absent for "not known".</param>
/// <param name="Action">What it leads to.</param>
public sealed record WarningAnswer(string Sign, bool? Present, WarningAction Action);

/// <summary>The clinician's review.</summary>
/// <param name="Warnings">An answer to every sign of <see cref="WarningSigns.All"/>.</param>
/// <param name="Reliability">The clinician's word on how far the results can be trusted.</param>
/// <param name="Summary">Findings in a few sentences.</param>
public sealed record RecordReview(IReadOnlyList<WarningAnswer> Warnings, string Reliability, string Summary) : SessionCommand;

/// <summary>What the person leaves with.</summary>
/// <param name="KeyMessage">The one thing to remember, in plain words.</param>
/// <param name="NextStep">What happens next, by whom and when.</param>
/// <param name="FamilyPresent">Whether family or a helper heard it.</param>
public sealed record RecordHandoff(string KeyMessage, string NextStep, bool FamilyPresent) : SessionCommand
{
    /// <summary>Who owns the next step. The handoff stays open until they acknowledge it; for oneself it is acknowledged by recording it.</summary>
    public HandoffOwner? Owner { get; init; }

    /// <summary>Who outside the clinic gets this, e.g. the family doctor; absent when nobody does. Needs consent to sharing.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? SharedWith { get; init; }

    /// <summary>Whether somebody outside the clinic is named, so that it rests on consent to sharing.</summary>
    [JsonIgnore]
    public bool IsShared => SharedWith is not null || Owner is { PersonId: null };
}

/// <summary>End the session early.</summary>
public sealed record Abort(string Reason) : SessionCommand;

/// <summary>What a session is turned into.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<ConversionTarget>))]
public enum ConversionTarget
{
    Visit,
    Referral,
}

/// <summary>End the session at a distance and go on otherwise.</summary>
public sealed record ConvertSession(ConversionTarget Target, string Reason) : SessionCommand;
