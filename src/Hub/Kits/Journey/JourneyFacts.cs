using System.Text.Json.Serialization;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

// What happens to a kit on its way from the shelf to a person and back, one fact for each command. Stored names and shapes are in KitFactCatalog.cs.

/// <summary>A kit was entered that is not in service yet.</summary>
internal sealed record KitDrafted(Actor By) : KitFact;

/// <summary>It went into service.</summary>
internal sealed record KitCommissioned(Actor By) : KitFact;

/// <summary>It is clean, complete and checked, and stands on the shelf.</summary>
internal sealed record KitReleased(Actor By) : KitFact;

/// <summary>Somebody holds it by hand.</summary>
internal sealed record HoldPlaced(KitHoldKind Kind, string Reason, Actor By) : KitFact;

/// <summary>A hold placed by hand was lifted.</summary>
internal sealed record HoldLifted(KitHoldKind Kind, string Reason, Actor By) : KitFact;

/// <summary>It is promised to a loan.</summary>
internal sealed record KitReserved(LoanId LoanId, DateOnly From, DateOnly DueBack, DateOnly BookableFrom, string Place, Actor By) : KitFact;

/// <summary>A loan was called off before the kit left.</summary>
internal sealed record LoanCalledOff(LoanId LoanId, string Reason, Actor By) : KitFact;

/// <summary>A loan lasts longer.</summary>
internal sealed record LoanExtended(LoanId LoanId, DateOnly DueBack, DateOnly BookableFrom, string Reason, Actor By) : KitFact;

/// <summary>The paper of a loan was signed.</summary>
internal sealed record LoanPaperSigned(LoanId LoanId, string SignedBy, Actor By) : KitFact
{
    /// <summary>Consent text on the paper; absent when it bore none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public ConsentTextShown? Text { get; init; }

    /// <summary>In what capacity it was signed for somebody else.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Capacity { get; init; }
}

/// <summary>Consent to a loan was taken back: its paper counts no more.</summary>
internal sealed record LoanConsentTakenBack(LoanId LoanId, ConsentParty TakenBackBy, ConsentMeans How, string Reason, Actor By) : KitFact;

/// <summary>A step of the overdue ladder was taken.</summary>
internal sealed record ReminderTaken(LoanId LoanId, string Step, string? Note, Actor By) : KitFact;

/// <summary>The case was counted and closed for a loan.</summary>
internal sealed record KitPacked(LoanId LoanId, IReadOnlyList<ItemCount> Counts, string? Photo, string? Seal, Actor By) : KitFact;

/// <summary>The parcel waits for the carrier.</summary>
internal sealed record KitStaged(LoanId LoanId, Actor By) : KitFact;

/// <summary>The parcel was handed to the carrier.</summary>
internal sealed record KitSent(LoanId LoanId, KitLeg Leg, string? Tracking, DateOnly On, EntryMeans Means, Actor By) : KitFact;

/// <summary>The carrier said something of the parcel.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="Leg">On which way.</param>
/// <param name="Status">What it said.</param>
/// <param name="Reason">Why.</param>
/// <param name="Place">Where.</param>
/// <param name="HappenedAt">When it happened.</param>
/// <param name="Means">How the entry came about.</param>
/// <param name="Readings">Readings of a sensor in the parcel.</param>
/// <param name="By">Who entered it.</param>
internal sealed record CarrierSaid(LoanId LoanId, KitLeg Leg, CarrierStatus Status, CarrierReason Reason, string? Place, DateTimeOffset HappenedAt, EntryMeans Means, ParcelReadings? Readings, Actor By) : KitFact
{
    /// <summary>Id of the carrier's event it was taken from; absent when it was entered by hand. By it the same event is known again, and a later word that it was wrong finds its entry.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? EventId { get; init; }
}

/// <summary>The case was opened and counted at the site.</summary>
internal sealed record KitCheckedIn(LoanId LoanId, IReadOnlyList<ItemCount> Counts, string? Photo, EntryMeans Means, Actor By) : KitFact;

/// <summary>A session's kit check passed: the kit is in use. From a parcel it says that the parcel was opened too.</summary>
internal sealed record KitTakenIntoUse(SessionId SessionId, Actor By) : KitFact
{
    /// <summary>Its disk holds something of the session from then on, until it attests that it was wiped. Earlier kits could not attest it.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool AwaitsWipe { get; init; }
}

/// <summary>A session that had begun is over before its kit check: the kit was not in use, and may hold answers and calls of that session until it attests that it was wiped.</summary>
internal sealed record WipeAwaited(SessionId SessionId) : KitFact;

/// <summary>The kit attested that nothing of these sessions is left on it.</summary>
/// <param name="Sessions">Sessions.</param>
/// <param name="JournalId">The journal that was wiped.</param>
/// <param name="LastSequence">Its last sequence; all of it was confirmed before.</param>
/// <param name="Key">Thumbprint of the kit's key.</param>
/// <param name="Attestation">The attestation as the kit signed it (JWS).</param>
internal sealed record DataWiped(IReadOnlyList<SessionId> Sessions, JournalId JournalId, long LastSequence, string Key, string Attestation) : KitFact;

/// <summary>The session noted that the case is packed for its way back. The kit goes on being in use until the session is over.</summary>
internal sealed record SessionPackUpNoted(SessionId SessionId, Actor By) : KitFact;

/// <summary>The session that used the kit is over.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="AwaitsReturn">It is packed for its way back, and no other session needs it there.</param>
/// <param name="By">Who ended the session.</param>
internal sealed record KitSetDown(SessionId SessionId, bool AwaitsReturn, Actor By) : KitFact;

/// <summary>The case was packed at the site for its way back.</summary>
internal sealed record KitPackedUp(LoanId LoanId, IReadOnlyList<ItemCount> Counts, string? Photo, string? Seal, Actor By) : KitFact
{
    /// <summary>Single-use things thrown away there; absent when nobody said.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<ItemCount>? Discarded { get; init; }
}

/// <summary>It is back.</summary>
/// <param name="LoanId">Loan that ended with it; absent when it was found after it had been given up.</param>
/// <param name="Tracking">The carrier's reference.</param>
/// <param name="Counts">What was in the case; empty when it is counted at the inspection.</param>
/// <param name="Photo">Photo of the open case.</param>
/// <param name="Means">How the entry came about.</param>
/// <param name="By">Who received it.</param>
internal sealed record KitReceived(LoanId? LoanId, string? Tracking, IReadOnlyList<ItemCount> Counts, string? Photo, EntryMeans Means, Actor By) : KitFact;

/// <summary>It was put aside.</summary>
internal sealed record KitQuarantined(DateTimeOffset Until, string Reason, Actor By) : KitFact;

/// <summary>Cleaning began.</summary>
internal sealed record CleaningBegun(string? QuarantineCutShortBecause, Actor By) : KitFact;

/// <summary>A step of the turnaround was signed or skipped.</summary>
internal sealed record TurnaroundSigned(KitStage Step, IReadOnlyList<FunctionAnswer> Answers, IReadOnlyList<ItemCount> Counts, string? SkippedBecause, string? Note, Actor By) : KitFact
{
    /// <summary>Whether it was skipped, or every line was as it says.</summary>
    public bool Passed() => SkippedBecause is not null || Answers.All(answer => answer.Passed);
}

/// <summary>It needs repair.</summary>
internal sealed record RepairBegun(string Fault, Actor By) : KitFact;

/// <summary>The repair is done.</summary>
internal sealed record RepairFinished(string Done, bool PartsReplaced, Actor By) : KitFact;

/// <summary>It went to a laboratory.</summary>
internal sealed record SentToLaboratory(string Laboratory, DateOnly ExpectedBack, Actor By) : KitFact
{
    /// <summary>Handed over in person, not by parcel.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool InPerson { get; init; }
}

/// <summary>It is back from the laboratory.</summary>
internal sealed record TakenFromLaboratory(string? Note, Actor By) : KitFact;

/// <summary>Nobody can say where the parcel is.</summary>
internal sealed record ParcelMissing(string Note, Actor By) : KitFact;

/// <summary>It is given up, or was stolen. Its key was taken away in the same act.</summary>
internal sealed record KitGone(bool Stolen, string Circumstances, bool MayHoldData, Actor By) : KitFact;

/// <summary>It is there again.</summary>
internal sealed record KitFound(string Note, Actor By) : KitFact;

/// <summary>It is out of service for good.</summary>
internal sealed record KitRetired(string Reason, Actor By) : KitFact;

/// <summary>An entry was wrong. It stays; this is said beside it.</summary>
/// <param name="Sequence">The entry.</param>
/// <param name="DidNotOccur">It never happened; otherwise something in it is wrong.</param>
/// <param name="TakesBack">The kit stands as if the entry had not been made. Decided when it was said, so that reading it later comes to the same.</param>
/// <param name="Reason">Why.</param>
/// <param name="By">Who said so.</param>
internal sealed record EntryCorrected(long Sequence, bool DidNotOccur, bool TakesBack, string Reason, Actor By) : KitFact;

/// <summary>What belongs in the case.</summary>
internal sealed record ContentsSet(IReadOnlyList<KitItem> Items, Actor By) : KitFact;

/// <summary>A stock count.</summary>
internal sealed record KitCounted(IReadOnlyList<ItemCount> Counts, string? Photo, Actor By) : KitFact;
