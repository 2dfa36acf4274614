using System.Text.Json;
using System.Text.Json.Serialization;

namespace TeleHearing.Audiology.PureTone;

/// <summary>Evidence as a list of numbers: hub and kit judge the same doubt by it. A list of another version is read as no evidence.</summary>
internal sealed class ListenerEvidenceJson : JsonConverter<ListenerEvidence>
{
    public override ListenerEvidence? Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
        ListenerEvidence.From(JsonSerializer.Deserialize<double[]>(ref reader, options) ?? []);

    public override void Write(Utf8JsonWriter writer, ListenerEvidence value, JsonSerializerOptions options)
    {
        writer.WriteStartArray();
        foreach (var number in value.LogLikelihoods)
        {
            writer.WriteNumberValue(number);
        }

        writer.WriteEndArray();
    }
}
