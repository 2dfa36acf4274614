using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>When a case was counted.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CaseOccasion>))]
public enum CaseOccasion
{
    /// <summary>Packed for a loan.</summary>
    Packed,

    /// <summary>Opened at the site.</summary>
    OpenedAtSite,

    /// <summary>Packed at the site for its way back.</summary>
    PackedAtSite,

    /// <summary>Opened when it was back.</summary>
    Received,

    /// <summary>Counted in the turnaround.</summary>
    Turnaround,

    /// <summary>A stock count without a loan.</summary>
    Stock,
}

/// <summary>A count of what was in a case.</summary>
/// <param name="At">When it was recorded.</param>
/// <param name="By">Who counted.</param>
/// <param name="Occasion">On which occasion.</param>
/// <param name="Counts">What was there; empty when only a photo was taken.</param>
/// <param name="Photo">Photo of the open case, by its id; absent without one.</param>
public sealed record CaseCount(DateTimeOffset At, string By, CaseOccasion Occasion, IReadOnlyList<ItemCount> Counts, string? Photo)
{
    /// <summary>Number of the seal, when the case was closed.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public string? Seal { get; init; }
}
