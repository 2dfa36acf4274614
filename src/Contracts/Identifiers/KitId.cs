using System.Text.Json;
using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>A kit's number as printed on its case, e.g. "kit-03".</summary>
[JsonConverter(typeof(KitIdConverter))]
public readonly record struct KitId(string Value)
{
    public override string ToString() => Value;

    private sealed class KitIdConverter : JsonConverter<KitId>
    {
        public override KitId Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) => new(reader.GetString() ?? string.Empty);

        public override void Write(Utf8JsonWriter writer, KitId value, JsonSerializerOptions options) => writer.WriteStringValue(value.Value);
    }
}
