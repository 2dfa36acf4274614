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
}

/// <summary>What the start page shows. A coordinator gets kits and no sessions.</summary>
public sealed record BoardView(DateTimeOffset HubTime, IReadOnlyList<SessionRow> Sessions, IReadOnlyList<KitRow> Kits);

/// <summary>The signed-in person, from GET /api/me.</summary>
public sealed record Me(string Id, string Name, IReadOnlyList<string> Roles);
