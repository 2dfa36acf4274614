using TeleHearing.Audiology.Calibration;

namespace TeleHearing.Contracts;

/// <summary>A session in the day's list.</summary>
public sealed record SessionRow(SessionId SessionId, DateTimeOffset PlannedStart, PersonTested Person, string Place, KitPresence Kit, SessionStage Stage, string? ControllerName);

/// <summary>A kit in the coordinator's list.</summary>
/// <param name="KitId">Kit.</param>
/// <param name="Label">What is in it, e.g. "loan kit, circumaural earphones".</param>
/// <param name="Where">Where it is.</param>
/// <param name="Online">Whether its agent is connected.</param>
/// <param name="LastSeen">When it was last connected.</param>
/// <param name="Enrolled">Whether it holds a key.</param>
/// <param name="AgentVersion">Version of its agent when last connected.</param>
public sealed record KitRow(KitId KitId, string Label, string Where, bool Online, DateTimeOffset? LastSeen, bool Enrolled, string? AgentVersion)
{
    /// <summary>Last day on which its calibration holds; absent while the kit has not told it.</summary>
    public DateOnly? CalibratedUntil { get; init; }

    /// <summary>Days left until then; below zero once it is over.</summary>
    public int? CalibrationDaysLeft { get; init; }

    /// <summary>Where its calibration stands.</summary>
    public CalibrationStanding? Calibration { get; init; }

    /// <summary>What forbids sending or using it, as sentences.</summary>
    public IReadOnlyList<string>? Holds { get; init; }

    /// <summary>What its coordinator should see to, as sentences.</summary>
    public IReadOnlyList<string>? Due { get; init; }

    /// <summary>Where it stands on its way.</summary>
    public KitStage? Stage { get; init; }

    /// <summary>Since when; absent while nothing was recorded of its way.</summary>
    public DateTimeOffset? StageSince { get; init; }

    /// <summary>Kinds of what holds it.</summary>
    public IReadOnlyList<KitHoldKind>? HoldKinds { get; init; }

    /// <summary>The loan in hand, or else the next one.</summary>
    public KitLoanRow? Loan { get; init; }

    /// <summary>How many more loans it is promised to.</summary>
    public int? LaterLoans { get; init; }

    /// <summary>When it may leave quarantine.</summary>
    public DateTimeOffset? QuarantineUntil { get; init; }

    /// <summary>Laboratory it is at.</summary>
    public LaboratoryStay? Laboratory { get; init; }
}

/// <summary>A loan in the coordinator's list.</summary>
/// <param name="LoanId">Loan.</param>
/// <param name="From">Day it leaves.</param>
/// <param name="DueBack">Day it is to be back.</param>
/// <param name="BookableFrom">First day it may be lent again.</param>
/// <param name="Place">Where it goes.</param>
/// <param name="InHand">Packed for it, or away with it.</param>
/// <param name="DaysOverdue">Days past its due day while it is away; 0 otherwise.</param>
/// <param name="PaperSigned">Whether its paper is signed.</param>
public sealed record KitLoanRow(LoanId LoanId, DateOnly From, DateOnly DueBack, DateOnly BookableFrom, string Place, bool InHand, int DaysOverdue, bool PaperSigned);

/// <summary>What the start page shows. A coordinator gets kits and no sessions; an assistant the sessions of which a task is lent to them, beside what their other roles see.</summary>
public sealed record BoardView(DateTimeOffset HubTime, IReadOnlyList<SessionRow> Sessions, IReadOnlyList<KitRow> Kits)
{
    /// <summary>Sessions of which a task is lent to this person.</summary>
    public IReadOnlyList<SessionRow> Tasks { get; init; } = [];

    /// <summary>Handoffs whose next owner has not said yet that they have it, longest waiting first; for those who see sessions.</summary>
    public IReadOnlyList<HandoffRow> Handoffs { get; init; } = [];

    /// <summary>Why nothing is shown; absent when it is.</summary>
    public Refusal? Refusal { get; init; }
}

/// <summary>A handoff that waits.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="PersonName">The person tested.</param>
/// <param name="Owner">Who owns the next step.</param>
public sealed record HandoffRow(SessionId SessionId, string PersonName, HandoffOwner Owner);

/// <summary>The signed-in person, from GET /api/me.</summary>
public sealed record Me(string Id, string Name, IReadOnlyList<string> Roles)
{
    /// <summary>How they can prove again that it is them.</summary>
    public ProofWays? Ways { get; init; }

    /// <summary>Where the idle lock of their console stands.</summary>
    public LockView? Lock { get; init; }
}
