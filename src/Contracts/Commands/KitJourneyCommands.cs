using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>The kit goes into service: it is complete, and its units belong together.</summary>
public sealed record CommissionKit : KitCommand;

/// <summary>The kit is clean, complete and checked: it may be lent again.</summary>
public sealed record ReleaseKit : KitCommand;

/// <summary>Somebody holds the kit by hand.</summary>
/// <param name="Kind">One of those a person may place: safety notice, firmware, battery, data not wiped.</param>
/// <param name="Reason">Why.</param>
public sealed record PlaceHold(KitHoldKind Kind, string Reason) : KitCommand;

/// <summary>A hold placed by hand is lifted.</summary>
/// <param name="Kind">Which.</param>
/// <param name="Reason">Why it holds no more.</param>
public sealed record LiftHold(KitHoldKind Kind, string Reason) : KitCommand;

/// <summary>The kit is promised to a loan. Refused while something holds it, when its calibration ends before the loan does, or when another loan needs it in these days.</summary>
/// <param name="LoanId">The loan.</param>
/// <param name="From">Day it leaves.</param>
/// <param name="DueBack">Day it is to be back.</param>
/// <param name="BookableFrom">First day it may be lent again, turnaround included.</param>
/// <param name="Place">Where it goes.</param>
public sealed record ReserveKit(LoanId LoanId, DateOnly From, DateOnly DueBack, DateOnly BookableFrom, string Place) : KitCommand;

/// <summary>A promised or packed loan is called off before it left.</summary>
public sealed record CallOffLoan(LoanId LoanId, string Reason) : KitCommand;

/// <summary>The loan lasts longer. Refused when the calibration or the next loan does not allow it.</summary>
public sealed record ExtendLoan(LoanId LoanId, DateOnly DueBack, DateOnly BookableFrom, string Reason) : KitCommand;

/// <summary>The paper of the loan is signed: consent to the loan, on paper. Without it the kit is not packed.</summary>
public sealed record SignLoanPaper(LoanId LoanId, string SignedBy) : KitCommand
{
    /// <summary>Language of the consent text on the paper; absent when the paper bears none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Language { get; init; }

    /// <summary>Version of the consent text on the paper; absent when the paper bears none.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public int? TextVersion { get; init; }

    /// <summary>In what capacity it was signed for somebody else, e.g. "guardian"; absent when the borrower signed.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Capacity { get; init; }
}

/// <summary>Consent to a loan is taken back: the kit is not packed, and a packed one is not sent. A kit that is out comes back as agreed.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="By">Who takes it back.</param>
/// <param name="How">How.</param>
/// <param name="Reason">What was said.</param>
public sealed record WithdrawLoanConsent(LoanId LoanId, ConsentParty By, ConsentMeans How, string Reason) : KitCommand;

/// <summary>A step of the overdue ladder was taken.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="Step">Its code.</param>
/// <param name="Note">What came of it.</param>
public sealed record TakeReminderStep(LoanId LoanId, string Step, string? Note) : KitCommand;

/// <summary>The case was counted and closed for a loan.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="Counts">What went in.</param>
/// <param name="Photo">Photo of the open case, by its id; absent without one.</param>
/// <param name="Seal">Number of the seal; absent without one.</param>
public sealed record PackKit(LoanId LoanId, IReadOnlyList<ItemCount> Counts, string? Photo, string? Seal) : KitCommand;

/// <summary>The parcel is labelled and waits for the carrier.</summary>
public sealed record StageKit(LoanId LoanId) : KitCommand;

/// <summary>The parcel was handed to the carrier: out, or back from the site. Refused while something holds the kit on its way out.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="Tracking">The carrier's reference; absent without one.</param>
/// <param name="On">Local date.</param>
/// <param name="Means">Scanned, typed or reported.</param>
public sealed record SendKit(LoanId LoanId, string? Tracking, DateOnly On, EntryMeans Means) : KitCommand;

/// <summary>What the carrier says. It moves the kit only when it says that it is delivered on its way out.</summary>
public sealed record RecordCarrier(LoanId LoanId, CarrierStatus Status, CarrierReason Reason, string? Place, DateTimeOffset At, EntryMeans Means, ParcelReadings? Readings) : KitCommand;

/// <summary>The case was opened and counted at the site.</summary>
public sealed record CheckInKit(LoanId LoanId, IReadOnlyList<ItemCount> Counts, string? Photo, EntryMeans Means) : KitCommand;

/// <summary>The case was packed at the site for its way back.</summary>
public sealed record PackUpKit(LoanId LoanId, IReadOnlyList<ItemCount> Counts, string? Photo, string? Seal) : KitCommand;

/// <summary>The kit is back.</summary>
/// <param name="Tracking">The carrier's reference of the return; absent without one.</param>
/// <param name="Counts">What was in the case; empty when it is counted at the inspection.</param>
/// <param name="Photo">Photo of the open case.</param>
/// <param name="Means">Scanned, typed or reported.</param>
public sealed record ReceiveKit(string? Tracking, IReadOnlyList<ItemCount> Counts, string? Photo, EntryMeans Means) : KitCommand;

/// <summary>The kit is put aside until a time.</summary>
public sealed record QuarantineKit(DateTimeOffset Until, string Reason) : KitCommand;

/// <summary>The step of the turnaround the kit stands at is begun: from received or quarantine to cleaning.</summary>
public sealed record BeginCleaning(string? QuarantineCutShortBecause) : KitCommand;

/// <summary>A step of the turnaround is signed, or skipped with a reason: cleaning, inspection, restock. A failed inspection leads to repair.</summary>
/// <param name="Step">The stage the kit is at.</param>
/// <param name="Answers">Answers to the lines of that step; empty when it is skipped.</param>
/// <param name="Counts">Items discarded (cleaning), counted (inspection) or now in the case (restock).</param>
/// <param name="SkippedBecause">Why it is skipped; absent when it is not.</param>
/// <param name="Note">Anything else; needed when a line did not pass.</param>
public sealed record SignTurnaround(KitStage Step, IReadOnlyList<FunctionAnswer> Answers, IReadOnlyList<ItemCount> Counts, string? SkippedBecause, string? Note) : KitCommand;

/// <summary>The kit needs repair.</summary>
public sealed record SendToRepair(string Fault) : KitCommand;

/// <summary>The repair is done; replaced parts ask for a new calibration.</summary>
public sealed record FinishRepair(string Done, bool PartsReplaced) : KitCommand;

/// <summary>The kit goes to the laboratory. Refused by parcel while a battery is in doubt or a safety notice stands.</summary>
public sealed record SendToLaboratory(string Laboratory, DateOnly ExpectedBack) : KitCommand
{
    /// <summary>Handed over in person, not by parcel.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingDefault)]
    public bool InPerson { get; init; }
}

/// <summary>The kit is back from the laboratory. Its certificate comes with its own word about its gear.</summary>
public sealed record TakeFromLaboratory(string? Note) : KitCommand;

/// <summary>The carrier cannot say where the parcel is, or it should long be there.</summary>
public sealed record ReportParcelMissing(string Note) : KitCommand;

/// <summary>The kit is given up, or was stolen. Its right to link is taken away at once, and an incident is opened.</summary>
/// <param name="Stolen">Stolen rather than lost.</param>
/// <param name="Circumstances">What happened.</param>
/// <param name="MayHoldData">Whether something about a person may be on it.</param>
public sealed record ReportKitGone(bool Stolen, string Circumstances, bool MayHoldData) : KitCommand;

/// <summary>A kit that was missing, lost or stolen is there again.</summary>
public sealed record ReportKitFound(string Note) : KitCommand;

/// <summary>Out of service for good.</summary>
public sealed record RetireKit(string Reason) : KitCommand;

/// <summary>An entry was wrong. It stays, and this says so beside it; what should have been said is said by a new entry.</summary>
/// <param name="Sequence">Number of the entry.</param>
/// <param name="DidNotOccur">It never happened; otherwise something in it is wrong.</param>
/// <param name="Reason">Why.</param>
public sealed record CorrectEntry(long Sequence, bool DidNotOccur, string Reason) : KitCommand;

/// <summary>What belongs in the case, line by line. Replaces the list before it.</summary>
/// <param name="Items">The lines.</param>
public sealed record SetContents(IReadOnlyList<KitItem> Items) : KitCommand;

/// <summary>A stock count without a loan.</summary>
public sealed record CountKit(IReadOnlyList<ItemCount> Counts, string? Photo) : KitCommand;
