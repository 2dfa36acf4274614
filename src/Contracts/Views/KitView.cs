using TeleHearing.Audiology.Calibration;
using TeleHearing.Audiology.Levels;
using TeleHearing.Logistics.Loans;

namespace TeleHearing.Contracts;

/// <summary>Everything a console shows of one kit: a picture of its facts at one version. Holds no truth of its own.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Version">Number of facts it is made from.</param>
/// <param name="HubTime">Hub time when it was made.</param>
/// <param name="Label">What is in it.</param>
/// <param name="Where">Where it is.</param>
/// <param name="Online">Whether its agent is connected.</param>
/// <param name="Today">The hub's day, against which days are counted.</param>
/// <param name="Holds">What forbids sending or using it, as sentences.</param>
/// <param name="Due">What its coordinator should see to, as sentences.</param>
/// <param name="Calibration">Calibration in use; absent while the kit has not told one.</param>
/// <param name="Certificates">Every calibration it has told, newest first.</param>
/// <param name="KnownEar">Known-ear checks.</param>
/// <param name="Function">Function checks, newest first.</param>
/// <param name="SidesProven">The last left/right proof passed with it in a session, if any.</param>
/// <param name="Site">Where it was last moved to, if that was recorded.</param>
/// <param name="Loan">The loan under way or planned, if any.</param>
/// <param name="Uncovered">Planned sessions on days after its calibration ends.</param>
/// <param name="LookBacks">Sessions to look at again, newest list first.</param>
/// <param name="Moves">What may be asked, and why not when not.</param>
/// <param name="Timeline">What happened to it, newest first.</param>
/// <param name="Integrity">Whether its facts are whole.</param>
public sealed record KitView(
    KitId KitId,
    long Version,
    DateTimeOffset HubTime,
    string Label,
    string Where,
    bool Online,
    DateOnly Today,
    IReadOnlyList<string> Holds,
    IReadOnlyList<string> Due,
    CalibrationView? Calibration,
    IReadOnlyList<CertificateView> Certificates,
    KnownEarView KnownEar,
    IReadOnlyList<FunctionCheckView> Function,
    SidesProvenView? SidesProven,
    KitSiteView? Site,
    LoanView? Loan,
    IReadOnlyList<UncoveredSession> Uncovered,
    IReadOnlyList<LookBackView> LookBacks,
    IReadOnlyList<Move> Moves,
    IReadOnlyList<TimelineEntry> Timeline,
    IntegrityView Integrity)
{
    /// <summary>Where it stands on its way.</summary>
    public KitStage Stage { get; init; } = KitStage.Available;

    /// <summary>Its key.</summary>
    public KitKeyView? Key { get; init; }

    /// <summary>Sessions of which something may be on its disk.</summary>
    public int Unwiped { get; init; }

    /// <summary>Since when; absent while nothing was recorded of its way.</summary>
    public DateTimeOffset? StageSince { get; init; }

    /// <summary>What holds it, with kind and whether testing is forbidden too. <see cref="Holds"/> are its sentences.</summary>
    public IReadOnlyList<KitHold> HoldList { get; init; } = [];

    /// <summary>Loans promised and under way, by day of leaving; the one in hand is marked.</summary>
    public IReadOnlyList<KitLoanView> Loans { get; init; } = [];

    /// <summary>Loans that are over, newest first.</summary>
    public IReadOnlyList<KitLoanView> PastLoans { get; init; } = [];

    /// <summary>First day on which a new loan may leave, as far as its stage says; absent when nobody knows.</summary>
    public DateOnly? FreeFrom { get; init; }

    /// <summary>What belongs in the case.</summary>
    public IReadOnlyList<KitItem> Items { get; init; } = [];

    /// <summary>Newest count of each occasion, newest first.</summary>
    public IReadOnlyList<KitCount> Counts { get; init; } = [];

    /// <summary>How many of each item are in the case as far as is known.</summary>
    public IReadOnlyList<ItemCount> InCase { get; init; } = [];

    /// <summary>Lines of the checklist of the stage it stands at; empty at stages without one.</summary>
    public IReadOnlyList<TurnaroundLine> Checklist { get; init; } = [];

    /// <summary>Steps of the turnaround under way that are signed, oldest first.</summary>
    public IReadOnlyList<TurnaroundEntry> Turnaround { get; init; } = [];

    /// <summary>When it may leave quarantine; absent when it is not in it.</summary>
    public DateTimeOffset? QuarantineUntil { get; init; }

    /// <summary>Laboratory it is at; absent when it is at none.</summary>
    public LaboratoryStay? Laboratory { get; init; }

    /// <summary>Fault it is repaired for; absent when it is not in repair.</summary>
    public string? Fault { get; init; }

    /// <summary>Whether a function check passed since it came back, was repaired or went into service.</summary>
    public bool Checked { get; init; }

    /// <summary>The clinic's steps when a kit does not come back, in order of days.</summary>
    public IReadOnlyList<LadderStep> Ladder { get; init; } = [];

    /// <summary>Whether an incident with this kit is open.</summary>
    public bool IncidentOpen { get; init; }

    /// <summary>Corrections beside entries, newest first.</summary>
    public IReadOnlyList<EntryCorrection> Corrections { get; init; } = [];
}

/// <summary>The calibration in use.</summary>
/// <param name="Record">The record as the kit holds it.</param>
/// <param name="Use">How the kit is used.</param>
/// <param name="HoldsUntil">Last day on which it holds, by the rule for this use and the certificate itself.</param>
/// <param name="DaysLeft">Days left until then; below zero once it is over.</param>
/// <param name="Standing">Where it stands.</param>
/// <param name="Cautions">What to know about it, as sentences.</param>
public sealed record CalibrationView(CalibrationRecord Record, GearUse Use, DateOnly HoldsUntil, int DaysLeft, CalibrationStanding Standing, IReadOnlyList<string> Cautions);

/// <summary>A calibration the kit has told at some time.</summary>
/// <param name="At">When the hub first heard of it.</param>
/// <param name="CertificateId">Certificate.</param>
/// <param name="Laboratory">Who made it.</param>
/// <param name="CalibratedOn">Day of calibration.</param>
/// <param name="LargestShiftDb">Largest change of SPL at digital full scale against the one before, dB; absent for the first.</param>
public sealed record CertificateView(DateTimeOffset At, string CertificateId, string Laboratory, DateOnly CalibratedOn, double? LargestShiftDb);

/// <summary>Known-ear checks of a kit.</summary>
/// <param name="Baselines">Newest baseline of each person.</param>
/// <param name="Checks">Every check, oldest first.</param>
/// <param name="WhyDue">Why one is due; absent when none is.</param>
public sealed record KnownEarView(IReadOnlyList<BaselineView> Baselines, IReadOnlyList<KnownEarCheckView> Checks, string? WhyDue)
{
    /// <summary>Newest sessions with this kit whose person is given as a code, from which a check or a baseline can be taken; newest first.</summary>
    public IReadOnlyList<KnownEarSession> Sessions { get; init; } = [];
}

/// <summary>A session from which thresholds of a known ear can be taken.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="PersonCode">Its person, as a code.</param>
/// <param name="At">When it was last active.</param>
public sealed record KnownEarSession(SessionId SessionId, string PersonCode, DateTimeOffset At);

/// <summary>A person's baseline with this kit.</summary>
public sealed record BaselineView(DateTimeOffset At, string PersonCode, IReadOnlyList<KnownEarLevel> Levels);

/// <summary>A known-ear check.</summary>
/// <param name="At">When it was recorded.</param>
/// <param name="By">Who recorded it.</param>
/// <param name="PersonCode">Who listened, as a code.</param>
/// <param name="Shifts">Each threshold beside its baseline.</param>
/// <param name="Verdict">What it says about the kit.</param>
/// <param name="CertificateId">Certificate in use at the time, if known.</param>
public sealed record KnownEarCheckView(DateTimeOffset At, string By, string PersonCode, IReadOnlyList<KnownEarShift> Shifts, KnownEarVerdict Verdict, string? CertificateId);

/// <summary>A function check.</summary>
public sealed record FunctionCheckView(DateTimeOffset At, string By, IReadOnlyList<FunctionAnswer> Answers, string? Note, bool Passed);

/// <summary>A left/right proof that passed in a session.</summary>
public sealed record SidesProvenView(DateTimeOffset At, SessionId SessionId, int Tones);

/// <summary>Where a kit was moved to.</summary>
/// <param name="At">When it was recorded.</param>
/// <param name="Place">Where it is.</param>
/// <param name="PressureKPa">Air pressure there, kPa, measured or from the altitude; absent when not given.</param>
/// <param name="Caution">Why that pressure is outside what gear is specified for; absent when it is not.</param>
public sealed record KitSiteView(DateTimeOffset At, string Place, double? PressureKPa, string? Caution);

/// <summary>A loan.</summary>
/// <param name="From">Day it leaves.</param>
/// <param name="To">Day it is back.</param>
/// <param name="Place">Where it goes.</param>
/// <param name="Covered">Whether the calibration still holds to its end.</param>
public sealed record LoanView(DateOnly From, DateOnly To, string Place, bool Covered);

/// <summary>A session planned on a day after the calibration ends.</summary>
public sealed record UncoveredSession(SessionId SessionId, DateOnly Day);

/// <summary>A list of sessions to look at again because a check of the kit failed.</summary>
/// <param name="Number">Number of the list.</param>
/// <param name="OpenedAt">When the check failed.</param>
/// <param name="Reason">Which check failed, and how.</param>
/// <param name="Since">When the kit was last known to be right; absent when it never was.</param>
/// <param name="Sessions">The sessions since then.</param>
public sealed record LookBackView(long Number, DateTimeOffset OpenedAt, string Reason, DateTimeOffset? Since, IReadOnlyList<LookBackRow> Sessions)
{
    /// <summary>How many are not looked at yet.</summary>
    public int Waiting() => Sessions.Count(row => row.ReviewedAt is null);
}

/// <summary>A session in a look-back.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="Day">When it was last active.</param>
/// <param name="Stage">Where it stands now.</param>
/// <param name="ReviewedAt">When it was looked at again, if it was.</param>
/// <param name="ReviewedBy">By whom.</param>
/// <param name="Note">What came of it; absent also for those who may not see sessions.</param>
public sealed record LookBackRow(SessionId SessionId, DateTimeOffset Day, SessionStage Stage, DateTimeOffset? ReviewedAt, string? ReviewedBy, string? Note);
