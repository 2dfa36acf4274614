using System.Text.Json;
using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>An identifier that is a GUID inside a type of its own, so that one kind cannot be passed for another.</summary>
public interface IGuidId<TSelf>
    where TSelf : struct, IGuidId<TSelf>
{
    Guid Value { get; }

    static abstract TSelf From(Guid value);
}

/// <summary>Writes an identifier as its plain text.</summary>
public sealed class GuidIdConverter<TId> : JsonConverter<TId>
    where TId : struct, IGuidId<TId>
{
    public override TId Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => TId.From(reader.GetGuid());

    public override void Write(Utf8JsonWriter writer, TId value, JsonSerializerOptions options) => writer.WriteStringValue(value.Value);

    public override TId ReadAsPropertyName(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => TId.From(Guid.Parse(reader.GetString()!));

    public override void WriteAsPropertyName(Utf8JsonWriter writer, TId value, JsonSerializerOptions options) => writer.WritePropertyName(value.Value.ToString());
}
