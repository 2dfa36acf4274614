using System.Collections.Immutable;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Journey;

namespace TeleHearing.Hub.Kits.Facts;

/// <summary>Where the kit stands on its way from the shelf to a person and back.</summary>
internal sealed partial record KitState
{
    /// <summary>Where it stands. A kit nobody said anything of is in service and on the shelf.</summary>
    public KitStage Stage { get; init; } = KitStage.Available;

    /// <summary>Since when; absent while nothing was said.</summary>
    public DateTimeOffset? StageSince { get; init; }

    /// <summary>Loans promised and under way, by the day of leaving.</summary>
    public IReadOnlyList<KitLoan> Loans { get; init; } = [];

    /// <summary>The loan the kit is packed for or away with; at most one.</summary>
    public LoanId? InHand { get; init; }

    /// <summary>Loans that are over, oldest first.</summary>
    public IReadOnlyList<KitLoan> PastLoans { get; init; } = [];

    /// <summary>Holds placed by hand.</summary>
    public ImmutableDictionary<KitHoldKind, HoldPlaced> HoldsByHand { get; init; } = ImmutableDictionary<KitHoldKind, HoldPlaced>.Empty;

    /// <summary>Session that uses it and is not over.</summary>
    public SessionId? InSession { get; init; }

    /// <summary>Whether the session that uses it noted that the case is packed.</summary>
    public bool PackUpNoted { get; init; }

    /// <summary>Sessions of which something may be on its disk: it served them and has not attested that it was wiped. In the order of use.</summary>
    public ImmutableList<SessionId> Unwiped { get; init; } = [];

    /// <summary>Whether it was used since somebody last signed that it is clean.</summary>
    public bool UsedSinceCleaning { get; init; }

    /// <summary>The last session that used it since somebody signed that it is clean; absent when none did. Its person may go on with it, another may not.</summary>
    public SessionId? LastUse { get; init; }

    /// <summary>Whether a function check passed since it came back, was repaired or went into service.</summary>
    public bool Checked { get; init; }

    /// <summary>Day on which parts were replaced; absent once a calibration of that day or later is in place.</summary>
    public DateOnly? PartsReplacedOn { get; init; }

    /// <summary>When it may leave quarantine.</summary>
    public DateTimeOffset? QuarantineUntil { get; init; }

    /// <summary>Laboratory it is at.</summary>
    public LaboratoryStay? Laboratory { get; init; }

    /// <summary>Fault it is repaired for.</summary>
    public string? Fault { get; init; }

    /// <summary>Signed steps of the turnaround under way.</summary>
    public IReadOnlyList<TurnaroundEntry> Turnaround { get; init; } = [];

    /// <summary>What belongs in the case.</summary>
    public IReadOnlyList<KitItem> Items { get; init; } = [];

    /// <summary>Newest count of each occasion, oldest first.</summary>
    public IReadOnlyList<KitCount> Counts { get; init; } = [];

    /// <summary>How many of each item are in the case as far as is known.</summary>
    public ImmutableSortedDictionary<string, int> InCase { get; init; } = ImmutableSortedDictionary.Create<string, int>(StringComparer.Ordinal);

    /// <summary>Last receipt: who and when, for the second who receives.</summary>
    public (DateTimeOffset At, string By)? LastReceipt { get; init; }

    /// <summary>Corrections beside entries, oldest first.</summary>
    public IReadOnlyList<EntryCorrection> Corrections { get; init; } = [];

    /// <summary>Entries of loans that a correction took back, for their log alone.</summary>
    public IReadOnlyList<EntryTakenBack> TakenBack { get; init; } = [];

    /// <summary>The loan in hand.</summary>
    public KitLoan? LoanInHand => InHand is { } id ? Loan(id) : null;

    /// <summary>The next loan that has not begun.</summary>
    public KitLoan? NextLoan => Loans.FirstOrDefault(loan => loan.LoanId != InHand);

    /// <summary>A loan promised or under way.</summary>
    public KitLoan? Loan(LoanId loanId) => Loans.FirstOrDefault(loan => loan.LoanId == loanId);
}
