using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>One thing the hub asked a kit to carry out.</summary>
[JsonConverter(typeof(GuidIdConverter<StepId>))]
public readonly record struct StepId(Guid Value) : IGuidId<StepId>
{
    public static StepId From(Guid value) => new(value);

    /// <summary>Makes a new one that sorts by time of making.</summary>
    public static StepId New() => new(Guid.CreateVersion7());

    public override string ToString() => Value.ToString();
}
