namespace TeleHearing.Contracts;

/// <summary>A loan of a kit: promised, under way or over.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="From">Day it leaves.</param>
/// <param name="DueBack">Day it is to be back.</param>
/// <param name="BookableFrom">First day it may be lent again.</param>
/// <param name="Place">Where it goes.</param>
/// <param name="InHand">Packed for it, or away with it; at most one loan of a kit is.</param>
/// <param name="Covered">Whether the calibration still holds to its end.</param>
/// <param name="DaysOverdue">Days past its due day while it is away; 0 otherwise.</param>
/// <param name="Steps">What happened, oldest first.</param>
public sealed record KitLoanView(
    LoanId LoanId,
    DateOnly From,
    DateOnly DueBack,
    DateOnly BookableFrom,
    string Place,
    bool InHand,
    bool Covered,
    int DaysOverdue,
    IReadOnlyList<LoanStep> Steps)
{
    /// <summary>When its paper was signed; absent while it is not.</summary>
    public DateTimeOffset? PaperSignedAt { get; init; }

    /// <summary>Who signed the paper.</summary>
    public string? PaperSignedBy { get; init; }

    /// <summary>The carrier's reference on its way out.</summary>
    public string? Tracking { get; init; }

    /// <summary>The carrier's reference on its way back.</summary>
    public string? ReturnTracking { get; init; }

    /// <summary>Local day it was handed to the carrier; absent before.</summary>
    public DateOnly? SentOn { get; init; }

    /// <summary>Local day it was handed to the carrier for its way back; absent before.</summary>
    public DateOnly? SentBackOn { get; init; }

    /// <summary>Number of the seal when it left; absent without one.</summary>
    public string? Seal { get; init; }

    /// <summary>Number of the seal for its way back; absent without one.</summary>
    public string? ReturnSeal { get; init; }

    /// <summary>What the carrier said, oldest first.</summary>
    public IReadOnlyList<CarrierEntry> Carrier { get; init; } = [];

    /// <summary>Steps of the overdue ladder that were taken, oldest first.</summary>
    public IReadOnlyList<ReminderEntry> Reminders { get; init; } = [];

    /// <summary>How it ended: "received", "called-off", "lost" or "stolen"; absent while it goes on.</summary>
    public string? Ended { get; init; }

    /// <summary>Steps that a correction took back: shown struck through in the log, and counted nowhere.</summary>
    public IReadOnlyList<LoanStep> StepsTakenBack { get; init; } = [];

    /// <summary>Words of the carrier that a correction took back: shown struck through in the log, and counted nowhere.</summary>
    public IReadOnlyList<CarrierEntry> CarrierTakenBack { get; init; } = [];
}

/// <summary>Something that happened in a loan.</summary>
/// <param name="Sequence">Number of the entry in the kit's history.</param>
/// <param name="At">When it was recorded.</param>
/// <param name="Name">Stable name: "reserved", "packed", "staged", "sent-out", "delivered", "checked-in", "in-use", "set-down", "packed-up", "sent-back", "received", ...</param>
/// <param name="By">Who recorded it.</param>
public sealed record LoanStep(long Sequence, DateTimeOffset At, string Name, string By);

/// <summary>What a carrier said.</summary>
/// <param name="Sequence">Number of the entry in the kit's history.</param>
/// <param name="Leg">On its way out or back.</param>
/// <param name="Status">What it said.</param>
/// <param name="Reason">Why.</param>
/// <param name="Place">Where, if it said.</param>
/// <param name="At">When it happened.</param>
/// <param name="Means">How the entry came about.</param>
/// <param name="Readings">Readings of a sensor in the parcel; absent without one.</param>
public sealed record CarrierEntry(long Sequence, KitLeg Leg, CarrierStatus Status, CarrierReason Reason, string? Place, DateTimeOffset At, EntryMeans Means, ParcelReadings? Readings);

/// <summary>A step of the overdue ladder that was taken.</summary>
public sealed record ReminderEntry(DateTimeOffset At, string Step, string? Note, string By);

/// <summary>A signed step of the turnaround under way.</summary>
/// <param name="Step">Cleaning, inspection or restock.</param>
/// <param name="At">When it was signed.</param>
/// <param name="By">Who signed.</param>
/// <param name="Answers">Answers to its lines.</param>
/// <param name="Counts">Discarded, counted or filled up.</param>
/// <param name="SkippedBecause">Why it was skipped; absent when it was not.</param>
/// <param name="Note">Anything else.</param>
public sealed record TurnaroundEntry(KitStage Step, DateTimeOffset At, string By, IReadOnlyList<FunctionAnswer> Answers, IReadOnlyList<ItemCount> Counts, string? SkippedBecause, string? Note);

/// <summary>A kit at a laboratory.</summary>
/// <param name="Laboratory">Which.</param>
/// <param name="SentAt">When it went.</param>
/// <param name="ExpectedBack">When it should be back.</param>
public sealed record LaboratoryStay(string Laboratory, DateTimeOffset SentAt, DateOnly ExpectedBack);

/// <summary>A correction beside an entry.</summary>
/// <param name="Sequence">Entry it is about.</param>
/// <param name="At">When it was said.</param>
/// <param name="By">By whom.</param>
/// <param name="DidNotOccur">The entry never happened; otherwise something in it is wrong.</param>
/// <param name="TakesBack">Whether the kit stands as if the entry had not been made; otherwise the correction is only said beside it.</param>
/// <param name="Reason">Why.</param>
public sealed record EntryCorrection(long Sequence, DateTimeOffset At, string By, bool DidNotOccur, bool TakesBack, string Reason);
