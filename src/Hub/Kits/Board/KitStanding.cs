using TeleHearing.Audiology.Calibration;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Board;

/// <summary>What the board's judgement about a kit is made from. Days are the clinic's days.</summary>
/// <param name="Stage">Where it stands.</param>
/// <param name="Since">Day since which it stands there; absent for a kit without any fact.</param>
internal sealed record KitStanding(KitStage Stage, DateOnly? Since)
{
    /// <summary>The loan it is away for or packed for; absent while it is for none.</summary>
    public LoanSpan? Loan { get; init; }

    /// <summary>Loans it is promised to, by the day they begin.</summary>
    public IReadOnlyList<LoanSpan> Promised { get; init; } = [];

    /// <summary>What holds it.</summary>
    public IReadOnlyList<KitHold> Holds { get; init; } = [];

    /// <summary>Day since which it is held; absent when nothing holds it.</summary>
    public DateOnly? HeldSince { get; init; }

    /// <summary>Last day of its calibration; absent while it has told none.</summary>
    public DateOnly? CalibratedUntil { get; init; }

    /// <summary>Where that stands today.</summary>
    public CalibrationStanding? Calibration { get; init; }

    /// <summary>Day on which its quarantine is over; absent while it is in none.</summary>
    public DateOnly? QuarantineUntil { get; init; }

    /// <summary>Laboratory it is at, and the day it is expected back; absent while it is at none.</summary>
    public (string Name, DateOnly ExpectedBack)? Laboratory { get; init; }

    /// <summary>Whether a function check passed since it was last used, repaired or put into service.</summary>
    public bool CheckPassed { get; init; }

    /// <summary>What the carrier said last on this leg; absent while it said nothing.</summary>
    public (CarrierStatus Status, CarrierReason Reason)? Carrier { get; init; }

    /// <summary>What a count on the loan did not find, as a sentence; absent when all was there.</summary>
    public string? Missing { get; init; }

    /// <summary>Readings of its parcel outside their limits that no good function check followed, as a sentence; absent without one.</summary>
    public string? ParcelAlarm { get; init; }

    /// <summary>Whether an incident with it is open.</summary>
    public bool IncidentOpen { get; init; }

    /// <summary>Steps of the overdue ladder already taken for the loan under way.</summary>
    public IReadOnlyList<string> LadderTaken { get; init; } = [];

    /// <summary>The loan that counts next: the one it is away for, or the first it is promised to.</summary>
    public LoanSpan? Next => Loan ?? Promised.FirstOrDefault();
}

/// <summary>Days of a loan.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="Place">Where it goes.</param>
/// <param name="From">Day it leaves.</param>
/// <param name="DueBack">Day it is to be back.</param>
/// <param name="BookableFrom">First day the kit may be lent again.</param>
internal sealed record LoanSpan(LoanId LoanId, string Place, DateOnly From, DateOnly DueBack, DateOnly BookableFrom)
{
    /// <summary>Whether the loan paper is signed.</summary>
    public bool PaperSigned { get; init; }
}
