using TeleHearing.Audiology.Levels;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Practice;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Fleet;

/// <summary>What a decision about the fleet needs to know besides its facts.</summary>
/// <param name="Now">Hub time.</param>
/// <param name="Today">The day at the clinic, by its own zone.</param>
/// <param name="Sessions">Planned sessions that have not begun.</param>
/// <param name="Kits">The clinic's kits.</param>
/// <param name="AskKit">What a kit would say to a command, decided by the kit's own rules. Null when there is no such kit.</param>
/// <param name="CaresForKits">Whether who asks looks after the kits; a clinician only asks for loans.</param>
internal sealed record FleetContext(
    DateTimeOffset Now,
    DateOnly Today,
    IReadOnlyList<PlannedSession> Sessions,
    IReadOnlyList<FleetKit> Kits,
    Func<KitId, KitCommand, KitDecision?> AskKit,
    bool CaresForKits)
{
    /// <summary>The clinic's zone.</summary>
    public TimeZoneInfo Zone { get; init; } = TimeZoneInfo.Utc;

    /// <summary>Who works with the hub; read for commands about the practice alone.</summary>
    public PracticePeople People { get; init; } = PracticePeople.Nobody;

    /// <summary>A kit; absent when there is none of that number.</summary>
    public FleetKit? Kit(KitId kitId) => Kits.FirstOrDefault(kit => kit.KitId == kitId);
}

/// <summary>What the fleet needs to know of a kit.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Label">What is in it.</param>
/// <param name="Where">Where it is.</param>
/// <param name="InService">Whether it is neither a draft nor lost, stolen or retired.</param>
/// <param name="Transducers">Transducers it has told.</param>
/// <param name="CalibratedUntil">Last day of its calibration; absent while it told none.</param>
/// <param name="Laboratory">Who made its calibration; absent while it told none.</param>
/// <param name="AtLaboratory">Whether it is at a laboratory now.</param>
/// <param name="Loans">Its loans, over or not.</param>
internal sealed record FleetKit(
    KitId KitId,
    string Label,
    string Where,
    bool InService,
    IReadOnlyList<TransducerKind> Transducers,
    DateOnly? CalibratedUntil,
    string? Laboratory,
    bool AtLaboratory,
    IReadOnlyList<FleetKitLoan> Loans)
{
    /// <summary>First day on which a new loan may leave, as far as where it stands says: the kit's own rule. Absent when nobody knows.</summary>
    public DateOnly? FreeFrom { get; init; }

    /// <summary>Place of the loan it should be back from and is not; absent while it is not overdue.</summary>
    public string? Overdue { get; init; }

    /// <summary>Whether it is back and being made ready for the next loan.</summary>
    public bool InTurnaround { get; init; }

    /// <summary>Why it goes into no parcel, as a sentence; absent when nothing stands against that.</summary>
    public string? NotByParcel { get; init; }
}

/// <summary>A loan as its kit's facts tell it.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="From">Day it leaves.</param>
/// <param name="DueBack">Day it is to be back.</param>
/// <param name="BookableFrom">First day the kit may be lent again.</param>
/// <param name="Left">Whether it has left.</param>
/// <param name="Used">Whether a session used it on this loan, so that something about a person might be on it.</param>
/// <param name="PaperSignedBy">Who signed its paper.</param>
/// <param name="StepsTaken">Codes of the reminder steps taken since the loan was last extended: the ladder then begins anew.</param>
/// <param name="Ended">"received", "called-off", "lost" or "stolen"; absent while it goes on.</param>
internal sealed record FleetKitLoan(
    LoanId LoanId,
    DateOnly From,
    DateOnly DueBack,
    DateOnly BookableFrom,
    bool Left,
    bool Used,
    string? PaperSignedBy,
    IReadOnlyList<string> StepsTaken,
    string? Ended)
{
    /// <summary>Whether the kit is packed for it or away with it.</summary>
    public bool InHand { get; init; }
}
