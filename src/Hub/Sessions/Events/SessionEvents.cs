using System.Text.Json.Serialization;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Sessions.Events;

// Every event of a session. Stored names and shape numbers are in EventCatalog.cs; a changed shape gets a new number there,
// and the old one stays readable.

// Planning

internal sealed record SessionScheduled(string PersonReference, string Place, DateTimeOffset PlannedStart, KitId KitId, string ClinicianId) : SessionEvent;

/// <summary>Another kit was chosen before the session began.</summary>
/// <param name="From">The kit it was planned with.</param>
/// <param name="To">The kit it is planned with now.</param>
/// <param name="By">Who chose.</param>
internal sealed record SessionKitChanged(KitId From, KitId To, Actor By) : SessionEvent;

// Where the session stands

internal sealed record StageAdvanced(SessionStage From, SessionStage To, Actor By) : SessionEvent;

internal sealed record StageSteppedBack(SessionStage From, SessionStage To, Actor By) : SessionEvent;

internal sealed record SessionHeld(SessionStage From, string? Reason, Actor By) : SessionEvent;

/// <param name="From">Stage before.</param>
/// <param name="To">Where it goes on.</param>
/// <param name="Note">Why it goes on; always there after a stop.</param>
/// <param name="Repeat">The gap was longer than the limit: room and side proof count no longer.</param>
/// <param name="By">Who resumed.</param>
/// <param name="CardAgain">The gap was longer than the limit: the start card has to be confirmed anew.</param>
internal sealed record SessionResumed(SessionStage From, SessionStage To, string? Note, bool Repeat, Actor By, bool? CardAgain = null) : SessionEvent;

internal sealed record SessionStopped(SessionStage From, StopCause Cause, string? Reason) : SessionEvent;

/// <param name="From">Stage before.</param>
/// <param name="Since">Last moment at which the session is known to have had its kit, when the loss was found only later; absent when it was found as it happened.</param>
internal sealed record LinkWasLost(SessionStage From, DateTimeOffset? Since = null) : SessionEvent;

/// <param name="To">Where it goes on.</param>
/// <param name="Repeat">The gap was longer than the limit: room and side proof count no longer.</param>
/// <param name="CardAgain">The gap was longer than the limit: the start card has to be confirmed anew.</param>
internal sealed record LinkWasRestored(SessionStage To, bool Repeat, bool? CardAgain = null) : SessionEvent;

internal sealed record SessionAborted(SessionStage From, string Reason, Actor By) : SessionEvent;

internal sealed record SessionConverted(SessionStage From, ConversionTarget Target, string Reason, Actor By) : SessionEvent;

/// <summary>What the session held about the person was erased: the key of its entries was destroyed. Stored open, for it must be read without that key, and says nothing of anyone.</summary>
/// <param name="Stage">Where the session stands.</param>
/// <param name="KitId">Its kit.</param>
/// <param name="ErasureId">Number of the erasure in the hub's journal of erasures.</param>
internal sealed record SessionErased(SessionStage Stage, KitId KitId, Guid ErasureId) : SessionEvent
{
    /// <summary>Stored name.</summary>
    public const string Kind = "session.erased";
}

// What the clinician records

/// <summary>First shape: stored before cards had kinds of identifiers and codes of places.</summary>
internal sealed record IdentityConfirmed(IdentityAsOnce Identity, Actor By) : SessionEvent;

/// <summary>What the first shape held.</summary>
internal sealed record IdentityAsOnce(
    string FirstIdentifier,
    string SecondIdentifier,
    string AddressNow,
    string CallBackNumber,
    string EmergencyNumber,
    string EmergencyContact,
    string PersonsPresent,
    bool LicenceCoversAddress,
    string? LicenceReason);

/// <summary>Who is there and where was confirmed.</summary>
/// <param name="Card">The card.</param>
/// <param name="Standing">How the registrations of who confirmed it stood to the place.</param>
/// <param name="Registration">The one that covers the place; absent when none does.</param>
/// <param name="LookAlikes">References of people who might have been taken for the person.</param>
/// <param name="By">Who confirmed it.</param>
internal sealed record StartCardConfirmed(StartCard Card, RegistrationStanding Standing, RegistrationShown? Registration, IReadOnlyList<string> LookAlikes, Actor By) : SessionEvent;

/// <summary>Consent to everything at once, as it was recorded before each purpose had an entry.</summary>
internal sealed record ConsentGiven(ConsentSheet Consent, Actor By) : SessionEvent;

/// <summary>Consent to everything taken back, as it was recorded before each purpose had an entry.</summary>
internal sealed record ConsentWithdrawn(string Reason, Actor By) : SessionEvent;

/// <summary>One purpose was answered.</summary>
/// <param name="Purpose">Purpose.</param>
/// <param name="Given">Yes or no.</param>
/// <param name="Text">Text shown.</param>
/// <param name="AnsweredBy">Who answered.</param>
/// <param name="How">How.</param>
/// <param name="FailurePlanExplained">What happens when the technique fails was explained before.</param>
/// <param name="InPersonOffered">A visit in person was offered instead.</param>
/// <param name="Recorder">Who recorded it, or the kit whose screen was pressed.</param>
internal sealed record ConsentAnswered(
    ConsentPurpose Purpose,
    bool Given,
    ConsentTextShown Text,
    ConsentParty AnsweredBy,
    ConsentMeans How,
    bool FailurePlanExplained,
    bool InPersonOffered,
    Actor Recorder) : SessionEvent;

/// <summary>The kit's screen was told to ask.</summary>
/// <param name="Texts">What it asks, whole, in order.</param>
/// <param name="AnsweredBy">Who will answer.</param>
/// <param name="FailurePlanExplained">What happens when the technique fails was explained before.</param>
/// <param name="InPersonOffered">A visit in person was offered instead.</param>
/// <param name="By">Who asked for it.</param>
internal sealed record ConsentAskedOnScreen(IReadOnlyList<ConsentText> Texts, ConsentParty AnsweredBy, bool FailurePlanExplained, bool InPersonOffered, Actor By) : SessionEvent;

/// <summary>Consent to these purposes was taken back.</summary>
/// <param name="Purposes">Purposes; none when it was pressed at the site and nothing was given.</param>
/// <param name="TakenBackBy">Who took it back.</param>
/// <param name="How">How.</param>
/// <param name="Reason">What was said; absent when nothing was.</param>
/// <param name="Recorder">Who recorded it, or the kit whose screen was pressed.</param>
internal sealed record ConsentTakenBack(IReadOnlyList<ConsentPurpose> Purposes, ConsentParty TakenBackBy, ConsentMeans How, string? Reason, Actor Recorder) : SessionEvent;

/// <summary>A recording of the session began or ended, as the clinician says.</summary>
internal sealed record RecordingDeclared(bool Runs, string What, Actor By) : SessionEvent;

internal sealed record EarLookedAt(RecordEarLook Look, Actor By) : SessionEvent;

internal sealed record RoomAccepted(string Reason, Actor By) : SessionEvent;

/// <summary>A side proof that one ear alone answered was accepted.</summary>
internal sealed record SidesAccepted(string Reason, Actor By) : SessionEvent;

internal sealed record NoteAdded(string Text, Actor By) : SessionEvent;

internal sealed record MessageShown(string Text, Actor By) : SessionEvent;

/// <param name="Review">The review.</param>
/// <param name="SignsVersion">Version of the set of warning signs answered.</param>
/// <param name="By">Who reviewed.</param>
internal sealed record ReviewRecorded(RecordReview Review, string SignsVersion, Actor By) : SessionEvent;

internal sealed record HandoffRecorded(RecordHandoff Handoff, Actor By) : SessionEvent;

// The plan

internal sealed record ProtocolChosen(TestProtocol Protocol, Actor By) : SessionEvent;

internal sealed record PlanChanged(PlanOverride Change, Actor By) : SessionEvent;

// Steps

internal sealed record StepOrdered(StepOrder Order, bool LoudConfirmed, Actor By) : SessionEvent
{
    /// <summary>When the order expires in the time that hubs on one database share, for the one that the kit is linked to; absent where there is one hub alone.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public DateTimeOffset? ExpiresAt { get; init; }
}

internal sealed record StepCutAsked(StepId StepId, Actor By) : SessionEvent;

/// <param name="StepId">The step.</param>
/// <param name="KitMs">Kit clock in ms.</param>
internal sealed record StepBegan(StepId StepId, double KitMs) : SessionEvent;

internal sealed record TrialTaken(StepId StepId, TrialRecord Trial, double KitMs) : SessionEvent;

internal sealed record ThresholdMeasured(ThresholdRecord Threshold, double KitMs) : SessionEvent;

/// <param name="StepId">The step.</param>
/// <param name="Ending">How it ended.</param>
/// <param name="Code">Refusal code when it did not complete.</param>
/// <param name="Reason">Why, when it did not complete.</param>
/// <param name="Result">What it measured.</param>
/// <param name="KitMs">Kit clock in ms; absent when the hub ended it because the kit never got it.</param>
internal sealed record StepOver(StepId StepId, StepEnding Ending, string? Code, string? Reason, StepResult? Result, double? KitMs) : SessionEvent;

// The site

internal sealed record SiteStopPressed(double KitMs) : SessionEvent;

internal sealed record CardMarkedDone(SessionStage Stage, double KitMs) : SessionEvent;

internal sealed record HelpWasCalled(double KitMs) : SessionEvent;

/// <summary>The kit attested, after the session was over, that nothing of it is left on it. The attestation itself stands in the kit's facts.</summary>
/// <param name="KitId">The kit.</param>
/// <param name="JournalId">The journal that was wiped.</param>
/// <param name="LastSequence">Its last sequence; all of it was confirmed before.</param>
/// <param name="Key">Thumbprint of the kit's key.</param>
internal sealed record KitDataWiped(KitId KitId, JournalId JournalId, long LastSequence, string Key) : SessionEvent;
