using System.Text.Json.Serialization;
using TeleHearing.Audiology.Noise;

namespace TeleHearing.Contracts;

/// <summary>A step on its way to a kit.</summary>
/// <param name="SessionId">Session it belongs to.</param>
/// <param name="StepId">The step; carried out at most once.</param>
/// <param name="OrderNumber">Rises with every order of the session; a lower or equal one is refused as out of order or duplicate.</param>
/// <param name="ControlEpoch">Epoch of control under which it was asked; an older one than the kit has seen is refused.</param>
/// <param name="ExpiresAtHubMs">Hub running time (see <see cref="LeaseGrant"/>) in ms after which the kit must not begin it.</param>
/// <param name="MaximumLevelDbHl">The hub's ceiling in dB HL. The kit takes the lower of this and its own.</param>
/// <param name="Seed">Seed of every random choice inside the step.</param>
/// <param name="LowestProvable">Lowest provable level per frequency from the session's room measurement; empty before there is one.</param>
/// <param name="Request">What to do.</param>
public sealed record StepOrder(
    SessionId SessionId,
    StepId StepId,
    long OrderNumber,
    int ControlEpoch,
    long ExpiresAtHubMs,
    double MaximumLevelDbHl,
    int Seed,
    IReadOnlyList<LowestProvableLevel> LowestProvable,
    StepRequest Request)
{
    /// <summary>Lowest provable level per frequency by bone conduction, ears open, from the session's room measurement; absent when the hub knows none, and then nothing is said about it.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<LowestProvableLevel>? LowestProvableBone { get; init; }

    /// <summary>Purposes the person's consent covers as it stands now; the kit refuses a step that rests on another one.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public IReadOnlyList<ConsentPurpose>? Covered { get; init; }
}

/// <summary>The right to make sound a little longer. Times are the hub's running time, which only the difference of matters, so that clocks need not agree.</summary>
/// <param name="Number">Rises with every grant of one hub run.</param>
/// <param name="HubRunId">Changes when the hub restarts; the kit then forgets its estimate of the hub's time.</param>
/// <param name="HubMs">Hub running time in ms (monotonic) when sent.</param>
/// <param name="LengthMs">How long after <paramref name="HubMs"/> sound may last.</param>
public sealed record LeaseGrant(long Number, Guid HubRunId, long HubMs, int LengthMs);
