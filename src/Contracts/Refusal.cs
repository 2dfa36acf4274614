namespace TeleHearing.Contracts;

/// <summary>Why something asked for was not done. A value, not an exception: the other side reads it.</summary>
/// <param name="Code">One of <see cref="RefusalCodes"/>.</param>
/// <param name="Sentence">What happened, in the reader's words.</param>
/// <param name="Remedy">What would satisfy it, or what to do next.</param>
public sealed record Refusal(string Code, string Sentence, string? Remedy = null);

/// <summary>Every refusal code in one place. Stored and logged; never renamed.</summary>
public static class RefusalCodes
{
    public const string ProtocolVersion = "protocol.version";
    public const string NotSignedIn = "identity.not-signed-in";
    public const string RoleNotAllowed = "identity.role-not-allowed";
    public const string SignInLink = "identity.sign-in-link";
    public const string ConfirmationNeeded = "confirmation-needed";
    public const string Locked = "identity.console-covered";
    public const string OrganisationRefused = "identity.organisation";
    public const string LastOwner = "people.last-owner";
    public const string NameTaken = "people.name-taken";
    public const string NotProven = "identity.not-proven";
    public const string Busy = "identity.busy";
    public const string OtherSite = "identity.other-site";
    public const string KitUnknown = "kit.unknown";
    public const string KitRevoked = "kit.revoked";
    public const string KitNotProven = "kit.not-proven";
    public const string KitClock = "kit.clock";
    public const string KitOffline = "kit.offline";
    public const string EnrolmentCode = "kit.enrolment-code";
    public const string SessionUnknown = "session.unknown";
    public const string SessionDamaged = "session.damaged";
    public const string SessionOver = "session.over";
    public const string NotInControl = "control.not-yours";
    public const string ControlHeld = "control.held";
    public const string OldEpoch = "control.old-epoch";
    public const string ControlNotAsked = "control.not-asked";
    public const string ControlNotOffered = "control.not-offered";
    public const string ControlNotLent = "control.not-lent";
    public const string BeyondTask = "control.beyond-task";
    public const string PersonUnfit = "control.person-unfit";
    public const string HandoffNotYours = "handoff.not-yours";
    public const string OtherSession = "session.other";
    public const string StaleView = "command.stale-view";
    public const string Expired = "command.expired";
    public const string TooOften = "command.too-often";
    public const string Duplicate = "command.duplicate";
    public const string OutOfOrder = "command.out-of-order";
    public const string Invalid = "command.invalid";
    public const string StageDoesNotAllow = "stage.does-not-allow";
    public const string GateNotMet = "gate.not-met";
    public const string StepRunning = "step.running";
    public const string NoStep = "step.none";
    public const string OverCeiling = "level.over-ceiling";
    public const string RiseTooSteep = "level.rise-too-steep";
    public const string BelowRoomBound = "level.below-room-bound";
    public const string NotConfirmedLoud = "level.loud-not-confirmed";
    public const string CertificateMissing = "calibration.missing";
    public const string CertificateExpired = "calibration.expired";
    public const string CertificateMismatch = "calibration.mismatch";
    public const string CertificateInvalid = "calibration.invalid";
    public const string SoundFault = "sound.fault";
    public const string LinkLost = "link.lost";
    public const string StopPressed = "stop.pressed";
    public const string CutByClinician = "step.cut";
    public const string AgentRestarted = "agent.restarted";
    public const string StorageFault = "storage.fault";
    public const string ConsentMissing = "consent.missing";

    /// <summary>The store does not hold an entry any more that somebody saw.</summary>
    public const string HeadMissing = "audit.head-missing";
    public const string InstructAgain = "person.instruct-again";
    public const string KitHeld = "kit.held";
    public const string KitDamaged = "kit.damaged";
    public const string LoanOutlivesCalibration = "kit.loan-outlives-calibration";
    public const string KnownEarUnknown = "kit.known-ear-unknown";
    public const string GearMissing = "gear.missing";
    public const string GearNotWorn = "gear.not-worn";
    public const string LookBackUnknown = "kit.look-back-unknown";
    public const string LoanUnknown = "loan.unknown";
    public const string LoanStanding = "loan.standing";
    public const string LoanDates = "loan.dates";
    public const string RegionUnknown = "fleet.region-unknown";
    public const string FleetDamaged = "fleet.damaged";
    public const string CardNotConfirmed = "session.card-not-confirmed";
    public const string ReasonMissing = "session.reason-missing";
    public const string PersonUnknown = "person.unknown";
    public const string IncidentUnknown = "incident.unknown";
    public const string ErrandUnknown = "errand.unknown";
    public const string CheckMissing = "kit.check-missing";
    public const string ItemsMissing = "kit.items-missing";
    public const string ItemUnknown = "kit.item-unknown";
    public const string LoanOverlaps = "loan.overlaps";
    public const string LoanTaken = "loan.taken";
}

/// <summary>The answer to a command.</summary>
/// <param name="CommandId">The command.</param>
/// <param name="Refusal">Absent when the command was carried out.</param>
/// <param name="SessionVersion">Version of the session after it, or of the kit when it was asked of a kit.</param>
/// <param name="StepId">The step ordered, if one was.</param>
public sealed record Receipt(CommandId CommandId, Refusal? Refusal, long SessionVersion, StepId? StepId)
{
    public bool Accepted() => Refusal is null;
}
