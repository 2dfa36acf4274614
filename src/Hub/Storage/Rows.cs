using System.Text.Json;
using System.Text.Json.Serialization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage;

/// <summary>One event as stored. Never updated, never deleted.</summary>
internal sealed class SessionEventRow : IChainedRow
{
    public static string ChainOf(Guid sessionId) => sessionId.ToString("N");

    string IChainedRow.ChainName => ChainOf(SessionId);

    /// <summary>Place in the whole log; rises in the order of commits.</summary>
    public long Position { get; set; }

    public Guid SessionId { get; set; }

    /// <summary>Place in the session, from 1, without gaps.</summary>
    public long Sequence { get; set; }

    /// <summary>Stable stored name of the event.</summary>
    public required string Kind { get; set; }

    /// <summary>Number of the payload's shape.</summary>
    public int Shape { get; set; }

    public required string Payload { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long TimeTicks { get; set; }

    public required byte[] PreviousHash { get; set; }

    public required byte[] Hash { get; set; }
}

/// <summary>One fact of a kit as stored. Never updated, never deleted.</summary>
internal sealed class KitFactRow : IChainedRow
{
    /// <summary>Place among the facts of all kits; rises in the order of commits.</summary>
    public long Position { get; set; }

    public required string KitId { get; set; }

    /// <summary>Place among the kit's facts, from 1, without gaps.</summary>
    public long Sequence { get; set; }

    /// <summary>Stable stored name of the fact.</summary>
    public required string Kind { get; set; }

    /// <summary>Number of the payload's shape.</summary>
    public int Shape { get; set; }

    public required string Payload { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long TimeTicks { get; set; }

    public required byte[] PreviousHash { get; set; }

    public required byte[] Hash { get; set; }

    string IChainedRow.ChainName => ChainOf(KitId);

    /// <summary>Begins unlike any session's chain, so that rows of the one never fit into the other.</summary>
    public static string ChainOf(string kitId) => "kit " + kitId;
}

/// <summary>One fact of the clinic's fleet as stored: loans, terms, incidents, errands. Never updated, never deleted.</summary>
internal sealed class FleetFactRow : IChainedRow
{
    /// <summary>Name of the chain; unlike any session's and any kit's.</summary>
    public const string Chain = "fleet";

    /// <summary>Place in the chain, from 1, without gaps.</summary>
    public long Sequence { get; set; }

    /// <summary>Stable stored name of the fact.</summary>
    public required string Kind { get; set; }

    /// <summary>Number of the payload's shape.</summary>
    public int Shape { get; set; }

    public required string Payload { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long TimeTicks { get; set; }

    public required byte[] PreviousHash { get; set; }

    public required byte[] Hash { get; set; }

    string IChainedRow.ChainName => Chain;
}

/// <summary>How many facts the fleet has; one row. A list of facts that holds fewer has lost its end.</summary>
internal sealed class FleetHeadRow
{
    public int Id { get; set; }

    public long FactVersion { get; set; }
}

/// <summary>One entry of the audit as stored. Never updated, never deleted.</summary>
internal sealed class AuditEntryRow : IChainedRow
{
    /// <summary>Name of the chain; unlike any session's and any kit's.</summary>
    public const string Chain = "audit";

    /// <summary>Place in the chain, from 1, without gaps.</summary>
    public long Sequence { get; set; }

    /// <summary>What was done: the door of the rights table, or an act that has none.</summary>
    public required string Kind { get; set; }

    /// <summary>Number of the payload's shape.</summary>
    public int Shape { get; set; }

    public required string Payload { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long TimeTicks { get; set; }

    public required byte[] PreviousHash { get; set; }

    public required byte[] Hash { get; set; }

    string IChainedRow.ChainName => Chain;
}

/// <summary>How many entries the audit has; one row.</summary>
internal sealed class AuditHeadRow
{
    public int Id { get; set; }

    public long Entries { get; set; }
}

/// <summary>What a command came to, so that asking again gives the same answer.</summary>
internal sealed class CommandReceiptRow : ISealedRow
{
    private readonly SealedText _receipt = new();

    public Guid CommandId { get; set; }

    /// <summary>Session it was asked of; empty for a command about a kit.</summary>
    public Guid SessionId { get; set; }

    /// <summary>Hash of caller and command: the same id with another content is not the same command.</summary>
    public required byte[] Fingerprint { get; set; }

    /// <summary>The receipt; empty when it cannot be opened.</summary>
    public required string ReceiptJson { get; set; }

    /// <summary>The receipt as it is stored.</summary>
    public string? SealedReceipt { get; set; }

    private string Scope => SessionId == Guid.Empty ? Seals.Clinic : Seals.ScopeOf(SessionId);

    private string Place => $"receipts/{CommandId:N}";

    void ISealedRow.Seal(Seals seals) => SealedReceipt = _receipt.Close(seals, Scope, Place, ReceiptJson, SealedReceipt);

    void ISealedRow.Open(Seals seals) => ReceiptJson = _receipt.Open(seals, Scope, Place, SealedReceipt, string.Empty) ?? string.Empty;
}

/// <summary>How far one kit journal is held.</summary>
internal sealed class KitCursorRow
{
    public Guid JournalId { get; set; }

    public required string KitId { get; set; }

    public long AcknowledgedSequence { get; set; }
}

/// <summary>A kit.</summary>
internal sealed class KitEntity : ISealedRow
{
    private readonly SealedText _where = new();

    public required string KitId { get; set; }

    public required string Label { get; set; }

    /// <summary>Where it is, which may be somebody's home.</summary>
    public required string Where { get; set; }

    /// <summary>Where it is, as it is stored.</summary>
    public string? SealedWhere { get; set; }

    /// <summary>Public key it enrolled with; absent before enrolment and after revocation.</summary>
    public string? PublicKeyPem { get; set; }

    public long? RevokedTicks { get; set; }

    /// <summary>When its key was enrolled.</summary>
    public long? KeySinceTicks { get; set; }

    /// <summary>Loan its key went out with; absent while it has been on none.</summary>
    public Guid? KeyLoanId { get; set; }

    /// <summary>When its key was retired after that loan.</summary>
    public long? KeyRetiredTicks { get; set; }

    public long? LastSeenTicks { get; set; }

    public string? AgentVersion { get; set; }

    /// <summary>Number of facts (projection). A list of facts that holds fewer has lost its end.</summary>
    public long FactVersion { get; set; }

    /// <summary>A place as the row of a kit stores it.</summary>
    public static string SealWhere(Seals seals, string kitId, string where) => seals.Close(Seals.Clinic, PlaceOf(kitId), where);

    void ISealedRow.Seal(Seals seals) => SealedWhere = _where.Close(seals, Seals.Clinic, PlaceOf(KitId), Where, SealedWhere);

    void ISealedRow.Open(Seals seals) => Where = _where.Open(seals, Seals.Clinic, PlaceOf(KitId), SealedWhere) ?? Seals.Unreadable;

    private static string PlaceOf(string kitId) => "kits/" + kitId;
}

/// <summary>What is planned about a session, and where it stands for lists. The standing is a projection of the log.</summary>
internal sealed class SessionEntity : ISealedRow
{
    private readonly SealedText _plan = new();
    private readonly SealedText _controller = new();

    public Guid SessionId { get; set; }

    public required string PersonReference { get; set; }

    public required string PersonName { get; set; }

    public DateOnly BirthDate { get; set; }

    public required string Referral { get; set; }

    /// <summary>Language the person reads best; absent when nobody has said.</summary>
    public string? PersonLanguage { get; set; }

    public required string Place { get; set; }

    /// <summary>Who is tested, why and where, as it is stored: sealed with the session's own key.</summary>
    public string? SealedPlan { get; set; }

    public long PlannedStartTicks { get; set; }

    public required string KitId { get; set; }

    public required string ClinicianId { get; set; }

    /// <summary>Stage after the last event (projection).</summary>
    public required string Stage { get; set; }

    public string? ControllerName { get; set; }

    /// <summary>Who is in control, as it is stored.</summary>
    public string? SealedController { get; set; }

    /// <summary>Whether a handoff waits to be acknowledged (projection). To whom is in the events alone.</summary>
    public bool HandoffOpen { get; set; }

    /// <summary>Number of events (projection). A log that holds fewer has lost its end, which the chain alone cannot show.</summary>
    public long Version { get; set; }

    /// <summary>Hub time of the last event (projection).</summary>
    public long LastEventTicks { get; set; }

    /// <summary>When what says anything about the person was erased; absent while it is there.</summary>
    public long? ErasedTicks { get; set; }

    /// <summary>Who is in control, as the row of a session stores it.</summary>
    public static string? SealController(Seals seals, Guid sessionId, string? name) => name is null ? null : seals.Close(Seals.ScopeOf(sessionId), ControllerPlace(sessionId), name);

    /// <summary>What a row stores about who is in control, opened.</summary>
    public static string? OpenController(Seals seals, Guid sessionId, string? stored) => stored is null ? null : seals.Open(Seals.ScopeOf(sessionId), ControllerPlace(sessionId), stored) ?? Seals.Unreadable;

    void ISealedRow.Seal(Seals seals)
    {
        if (ErasedTicks is not null)
        {
            return;
        }

        SealedPlan = _plan.Close(seals, Seals.ScopeOf(SessionId), PlanPlace, PlanText(), SealedPlan);
        SealedController = _controller.Close(seals, Seals.ScopeOf(SessionId), ControllerPlace(SessionId), ControllerName, SealedController);
    }

    void ISealedRow.Open(Seals seals)
    {
        if (ErasedTicks is not null)
        {
            // Another process may have erased it while this one held the key.
            seals.Keys.Forget(Seals.ScopeOf(SessionId));
            Show(new SessionPlanTexts(Seals.Erased, Seals.Erased, default, Seals.Erased, Seals.Erased));
            return;
        }

        var open = _plan.Open(seals, Seals.ScopeOf(SessionId), PlanPlace, SealedPlan, string.Empty);
        Show(open is { Length: > 0 } ? JsonSerializer.Deserialize<SessionPlanTexts>(open, Protocol.Json)! : new SessionPlanTexts(Seals.Unreadable, Seals.Unreadable, default, Seals.Unreadable, Seals.Unreadable));

        // Not sealed anew as long as nobody changes it, also when it could not be opened.
        _plan.Keep(PlanText());
        ControllerName = _controller.Open(seals, Seals.ScopeOf(SessionId), ControllerPlace(SessionId), SealedController);
    }

    private string PlanPlace => $"sessions/{SessionId:N}/plan";

    private static string ControllerPlace(Guid sessionId) => $"sessions/{sessionId:N}/controller";

    private string PlanText() => JsonSerializer.Serialize(new SessionPlanTexts(PersonReference, PersonName, BirthDate, Referral, Place) { Language = PersonLanguage }, Protocol.Json);

    private void Show(SessionPlanTexts texts) => (PersonReference, PersonName, BirthDate, Referral, Place, PersonLanguage) = (texts.Reference, texts.Name, texts.BirthDate, texts.Referral, texts.Place, texts.Language);
}

/// <summary>What the row of a session holds about a person.</summary>
internal sealed record SessionPlanTexts(string Reference, string Name, DateOnly BirthDate, string Referral, string Place)
{
    /// <summary>Language the person reads best; absent when nobody has said.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Language { get; init; }
}

/// <summary>A single-use sign-in code; only its hash is kept.</summary>
internal sealed class SignInCodeRow
{
    public required byte[] CodeHash { get; set; }

    public required string PersonId { get; set; }

    public long ExpiresTicks { get; set; }

    public long? UsedTicks { get; set; }
}

/// <summary>A browser that somebody signed in with; gone when it has ended.</summary>
internal sealed class SignInRow
{
    public required string SignInId { get; set; }

    public required string PersonId { get; set; }

    public long BeganTicks { get; set; }

    /// <summary>When they last proved that it is them; absent when that counts no more.</summary>
    public long? ConfirmedTicks { get; set; }

    /// <summary>Whether its console is covered.</summary>
    public bool Locked { get; set; }

    /// <summary>When somebody was last at it, for the other hubs on the same database; absent while only this one knows.</summary>
    public long? ActiveTicks { get; set; }
}

/// <summary>An invitation to make a passkey or a password; only the hash of its code is kept.</summary>
internal sealed class InvitationRow
{
    public required byte[] CodeHash { get; set; }

    /// <summary>Whose account; absent for the first owner of an empty hub, who has none yet.</summary>
    public string? PersonId { get; set; }

    public long ExpiresTicks { get; set; }

    public long? UsedTicks { get; set; }
}

/// <summary>What guards a password and an authenticator against guessing and against being used again. Apart from the account, whose row is written whole.</summary>
internal sealed class PersonGuardRow
{
    /// <summary>Whose; empty for all names that nobody has.</summary>
    public required string PersonId { get; set; }

    public int WrongTries { get; set; }

    public long LockedUntilTicks { get; set; }

    public long LastTryTicks { get; set; }

    /// <summary>Newest time step whose authenticator code was taken.</summary>
    public long LastCodeStep { get; set; }
}

/// <summary>A recovery code; only its hash is kept.</summary>
internal sealed class RecoveryCodeRow
{
    public required byte[] CodeHash { get; set; }

    public required string PersonId { get; set; }

    public long? UsedTicks { get; set; }
}

/// <summary>A single-use enrolment code; only its hash is kept.</summary>
internal sealed class EnrolmentCodeRow
{
    public required byte[] CodeHash { get; set; }

    public required string KitId { get; set; }

    public long ExpiresTicks { get; set; }

    public long? UsedTicks { get; set; }
}

/// <summary>Key of a kit's journal, held here and not on the kit's disk; protected at rest by the hub's own keys.</summary>
internal sealed class KitJournalKeyRow
{
    public Guid JournalId { get; set; }

    public required string KitId { get; set; }

    public required string ProtectedKey { get; set; }
}

/// <summary>The key the hub signs with, protected at rest by the hub's own keys; one row.</summary>
internal sealed class HubKeyRow
{
    public int Id { get; set; }

    public required string ProtectedKey { get; set; }

    public long MadeTicks { get; set; }
}

/// <summary>One version of a protocol of the clinic.</summary>
internal sealed class ProtocolRow : ISealedRow
{
    private readonly SealedText _keptBy = new();

    public required string ProtocolId { get; set; }

    public int Version { get; set; }

    /// <summary>The protocol as a file.</summary>
    public required string Text { get; set; }

    public long KeptTicks { get; set; }

    public required string KeptBy { get; set; }

    /// <summary>Who handed it in, as it is stored.</summary>
    public string? SealedKeptBy { get; set; }

    private string Place => $"protocols/{ProtocolId}/{Version}";

    void ISealedRow.Seal(Seals seals) => SealedKeptBy = _keptBy.Close(seals, Seals.Clinic, Place, KeptBy, SealedKeptBy);

    void ISealedRow.Open(Seals seals) => KeptBy = _keptBy.Open(seals, Seals.Clinic, Place, SealedKeptBy) ?? Seals.Unreadable;
}

/// <summary>An erasure: who asked, why, what was erased and what was kept. Its words are sealed by the clinic's key.</summary>
internal sealed class ErasureRow
{
    public Guid ErasureId { get; set; }

    /// <summary>Hub time, UTC ticks.</summary>
    public long AtTicks { get; set; }

    public required string SealedAccount { get; set; }
}

/// <summary>A version of a consent text; written once and never changed.</summary>
internal sealed class ConsentTextRow : ISealedRow
{
    private readonly SealedText _keptBy = new();

    public required string Purpose { get; set; }

    public required string Language { get; set; }

    public int Version { get; set; }

    public required string Title { get; set; }

    public required string Body { get; set; }

    public required string Agree { get; set; }

    public required string Decline { get; set; }

    public required string TakeBack { get; set; }

    public long KeptTicks { get; set; }

    /// <summary>Absent for a text that came with the tool.</summary>
    public string? KeptBy { get; set; }

    /// <summary>Who kept it, as it is stored.</summary>
    public string? SealedKeptBy { get; set; }

    private string At => $"consent_texts/{Purpose}/{Language}/{Version}";

    void ISealedRow.Seal(Seals seals) => SealedKeptBy = _keptBy.Close(seals, Seals.Clinic, At, KeptBy, SealedKeptBy);

    void ISealedRow.Open(Seals seals) => KeptBy = _keptBy.Open(seals, Seals.Clinic, At, SealedKeptBy);
}

/// <summary>Version of the tables; one row.</summary>
internal sealed class SchemaVersionRow
{
    public int Id { get; set; }

    public int Version { get; set; }
}
