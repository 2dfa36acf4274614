using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>One ask of a console; the same id is carried out at most once.</summary>
[JsonConverter(typeof(GuidIdConverter<CommandId>))]
public readonly record struct CommandId(Guid Value) : IGuidId<CommandId>
{
    public static CommandId From(Guid value) => new(value);

    /// <summary>Makes a new one that sorts by time of making.</summary>
    public static CommandId New() => new(Guid.CreateVersion7());

    public override string ToString() => Value.ToString();
}
