using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>On what occasion the contents of a case were counted.</summary>
[JsonConverter(typeof(JsonStringEnumConverter<CountOccasion>))]
public enum CountOccasion
{
    /// <summary>Stock count without a loan.</summary>
    Stock,

    /// <summary>Packed for a loan.</summary>
    Packed,

    /// <summary>Opened at the site.</summary>
    CheckedIn,

    /// <summary>Packed at the site for the way back.</summary>
    PackedUp,

    /// <summary>Opened when it was back.</summary>
    Received,

    /// <summary>Counted at the inspection.</summary>
    Inspected,

    /// <summary>Filled up.</summary>
    Restocked,
}

/// <summary>A count of what was in the case.</summary>
/// <param name="At">When it was recorded.</param>
/// <param name="By">Who counted.</param>
/// <param name="Occasion">On what occasion.</param>
/// <param name="Counts">What was there; an item that is not named was not counted.</param>
/// <param name="Photo">Photo of the open case, by its id; absent without one.</param>
public sealed record KitCount(DateTimeOffset At, string By, CountOccasion Occasion, IReadOnlyList<ItemCount> Counts, string? Photo);
