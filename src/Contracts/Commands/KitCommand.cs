using System.Text.Json.Serialization;
using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Contracts;

/// <summary>What can be recorded about a kit. Each becomes a fact that stays.</summary>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "command")]
[JsonDerivedType(typeof(RecordBaseline), "record-baseline")]
[JsonDerivedType(typeof(RecordKnownEar), "record-known-ear")]
[JsonDerivedType(typeof(RecordFunctionCheck), "record-function-check")]
[JsonDerivedType(typeof(RecordMove), "record-move")]
[JsonDerivedType(typeof(ReviewSession), "review-session")]
[JsonDerivedType(typeof(CommissionKit), "commission-kit")]
[JsonDerivedType(typeof(ReleaseKit), "release-kit")]
[JsonDerivedType(typeof(PlaceHold), "place-hold")]
[JsonDerivedType(typeof(LiftHold), "lift-hold")]
[JsonDerivedType(typeof(ReserveKit), "reserve-kit")]
[JsonDerivedType(typeof(CallOffLoan), "call-off-loan")]
[JsonDerivedType(typeof(ExtendLoan), "extend-loan")]
[JsonDerivedType(typeof(SignLoanPaper), "sign-loan-paper")]
[JsonDerivedType(typeof(WithdrawLoanConsent), "withdraw-loan-consent")]
[JsonDerivedType(typeof(TakeReminderStep), "take-reminder-step")]
[JsonDerivedType(typeof(PackKit), "pack-kit")]
[JsonDerivedType(typeof(StageKit), "stage-kit")]
[JsonDerivedType(typeof(SendKit), "send-kit")]
[JsonDerivedType(typeof(RecordCarrier), "record-carrier")]
[JsonDerivedType(typeof(CheckInKit), "check-in-kit")]
[JsonDerivedType(typeof(PackUpKit), "pack-up-kit")]
[JsonDerivedType(typeof(ReceiveKit), "receive-kit")]
[JsonDerivedType(typeof(QuarantineKit), "quarantine-kit")]
[JsonDerivedType(typeof(BeginCleaning), "begin-cleaning")]
[JsonDerivedType(typeof(SignTurnaround), "sign-turnaround")]
[JsonDerivedType(typeof(SendToRepair), "send-to-repair")]
[JsonDerivedType(typeof(FinishRepair), "finish-repair")]
[JsonDerivedType(typeof(SendToLaboratory), "send-to-laboratory")]
[JsonDerivedType(typeof(TakeFromLaboratory), "take-from-laboratory")]
[JsonDerivedType(typeof(ReportParcelMissing), "report-parcel-missing")]
[JsonDerivedType(typeof(ReportKitGone), "report-kit-gone")]
[JsonDerivedType(typeof(ReportKitFound), "report-kit-found")]
[JsonDerivedType(typeof(RetireKit), "retire-kit")]
[JsonDerivedType(typeof(CorrectEntry), "correct-entry")]
[JsonDerivedType(typeof(SetContents), "set-contents")]
[JsonDerivedType(typeof(CountKit), "count-kit")]
public abstract record KitCommand;

/// <summary>Thresholds of a known person, measured with this kit while it is known to be right. Later checks of the same person are held against the newest baseline.</summary>
/// <param name="PersonCode">The person as a code, never a name.</param>
/// <param name="Levels">Measured thresholds, both ears; empty when they are to be taken from a session.</param>
public sealed record RecordBaseline(string PersonCode, IReadOnlyList<KnownEarLevel> Levels) : KitCommand
{
    /// <summary>Session with this kit and this person from which the hub takes the thresholds itself; absent when they were entered.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SessionId? From { get; init; }
}

/// <summary>A known-ear check.</summary>
/// <param name="PersonCode">The person as a code, never a name.</param>
/// <param name="Levels">Measured thresholds, both ears; empty when they are to be taken from a session.</param>
public sealed record RecordKnownEar(string PersonCode, IReadOnlyList<KnownEarLevel> Levels) : KitCommand
{
    /// <inheritdoc cref="RecordBaseline.From"/>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public SessionId? From { get; init; }
}

/// <summary>The answer to one line of <see cref="FunctionLines"/>.</summary>
/// <param name="Code">Code of the line.</param>
/// <param name="Passed">Whether it was as the line says.</param>
public sealed record FunctionAnswer(string Code, bool Passed);

/// <summary>A function check: someone put the earphones on and listened.</summary>
/// <param name="Answers">An answer to every line of <see cref="FunctionLines.All"/>.</param>
/// <param name="Note">What was heard, needed when a line did not pass.</param>
public sealed record RecordFunctionCheck(IReadOnlyList<FunctionAnswer> Answers, string? Note) : KitCommand;

/// <summary>The kit is at another place now. A known-ear check is due there.</summary>
/// <param name="Place">Where it is.</param>
/// <param name="PressureKPa">Static air pressure there in kPa; this or the altitude may be given.</param>
/// <param name="AltitudeM">Altitude there in m.</param>
public sealed record RecordMove(string Place, double? PressureKPa, double? AltitudeM) : KitCommand;

/// <summary>A clinician has looked at a session again because a check of the kit failed after it.</summary>
/// <param name="LookBack">Number of the look-back.</param>
/// <param name="SessionId">The session.</param>
/// <param name="Note">What came of it.</param>
public sealed record ReviewSession(long LookBack, SessionId SessionId, string Note) : KitCommand;

/// <summary>A kit command on its way from a console to the hub.</summary>
/// <param name="ProtocolVersion">Version the console speaks.</param>
/// <param name="CommandId">Id; asking again with the same id returns the first receipt.</param>
/// <param name="KitId">Kit it is for.</param>
/// <param name="ExpiresAt">Hub time after which it must not be carried out.</param>
/// <param name="Command">The command.</param>
public sealed record KitCommandEnvelope(int ProtocolVersion, CommandId CommandId, KitId KitId, DateTimeOffset ExpiresAt, KitCommand Command);
