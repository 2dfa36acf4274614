using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>What a threshold measurement came to. A closed set: there is no bare number, and a missing threshold is never a number.</summary>
/// <remarks>The discriminator strings are stored in event logs for good and are never renamed.</remarks>
[JsonPolymorphic(TypeDiscriminatorPropertyName = "outcome")]
[JsonDerivedType(typeof(Established), "established")]
[JsonDerivedType(typeof(NoResponseAtLimit), "no-response-at-limit")]
[JsonDerivedType(typeof(NoiseLimited), "noise-limited")]
[JsonDerivedType(typeof(NotEstablished), "not-established")]
public abstract record ThresholdOutcome
{
    private ThresholdOutcome()
    {
    }

    /// <summary>The stopping rule was met.</summary>
    /// <param name="LevelDbHl">Threshold in dB HL.</param>
    public sealed record Established(double LevelDbHl) : ThresholdOutcome;

    /// <summary>The person did not respond at the highest level allowed.</summary>
    /// <param name="LimitDbHl">The highest level presented, dB HL. It is a limit, never a threshold.</param>
    public sealed record NoResponseAtLimit(double LimitDbHl) : ThresholdOutcome;

    /// <summary>Room noise hides anything better than the bound: the threshold is at or better than it.</summary>
    /// <param name="BoundDbHl">Lowest hearing level the room could prove at this frequency, dB HL.</param>
    public sealed record NoiseLimited(double BoundDbHl) : ThresholdOutcome;

    /// <summary>No threshold: the search did not settle or was broken off.</summary>
    /// <param name="Reason">Why, as a sentence for the clinician.</param>
    public sealed record NotEstablished(string Reason) : ThresholdOutcome;
}
