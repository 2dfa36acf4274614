using System.Globalization;
using System.Text;
using System.Text.Json;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Writes events as an EPCIS 2.0 document, JSON-LD. Pure.</summary>
internal static class EpcisWriter
{
    private static readonly JsonWriterOptions _options = new() { Indented = true };

    /// <param name="events">The events.</param>
    /// <param name="made">When the document is made.</param>
    public static string Document(IReadOnlyList<EpcisEvent> events, DateTimeOffset made)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream, _options))
        {
            json.WriteStartObject();
            json.WriteStartArray("@context");
            json.WriteStringValue(EpcisWords.Context);
            json.WriteStartObject();
            json.WriteString(EpcisWords.OwnPrefix, EpcisWords.OwnSpace);
            json.WriteString(EpcisWords.PostPrefix, EpcisWords.PostSpace);
            json.WriteEndObject();
            json.WriteEndArray();
            json.WriteString("type", "EPCISDocument");
            json.WriteString("schemaVersion", "2.0");
            json.WriteString("creationDate", Moment(made));
            json.WriteStartObject("epcisBody");
            json.WriteStartArray("eventList");
            foreach (var happened in events)
            {
                Write(json, happened);
            }

            json.WriteEndArray();
            json.WriteEndObject();
            json.WriteEndObject();
        }

        return Encoding.UTF8.GetString(stream.ToArray());
    }

    private static void Write(Utf8JsonWriter json, EpcisEvent happened)
    {
        json.WriteStartObject();
        json.WriteString("type", happened.Type.ToString());
        json.WriteString("eventID", happened.Id);
        json.WriteString("eventTime", Moment(happened.Time));
        json.WriteString("eventTimeZoneOffset", happened.Time.ToString("zzz", CultureInfo.InvariantCulture));
        json.WriteString("recordTime", Moment(happened.Recorded));
        if (happened.Error is { } error)
        {
            Write(json, error);
        }

        json.WriteString("action", happened.Action.ToString().ToUpperInvariant());
        if (happened.Type == EpcisEventType.ObjectEvent)
        {
            Texts(json, "epcList", happened.Things);
        }
        else
        {
            json.WriteString("parentID", happened.Parent);
            Texts(json, "childEPCs", happened.Children);
            Quantities(json, happened.Quantities);
        }

        Text(json, "bizStep", happened.Step);
        Text(json, "disposition", happened.Disposition);
        if (happened.Lasting is { } lasting)
        {
            json.WriteStartObject("persistentDisposition");
            Texts(json, "set", [lasting.Set]);
            Texts(json, "unset", [lasting.Unset]);
            json.WriteEndObject();
        }

        Identified(json, "readPoint", happened.ReadPoint);
        Identified(json, "bizLocation", happened.Location);
        Typed(json, "bizTransactionList", "bizTransaction", happened.Transactions);
        Typed(json, "destinationList", "destination", happened.Destination is { } destination ? [("location", destination)] : []);
        Texts(json, "certificationInfo", happened.Certificates);
        Readings(json, happened.Readings);
        foreach (var (name, value) in happened.Extensions)
        {
            Value(json, name, value);
        }

        json.WriteEndObject();
    }

    private static void Write(Utf8JsonWriter json, EpcisError error)
    {
        json.WriteStartObject("errorDeclaration");
        json.WriteString("declarationTime", Moment(error.DeclaredAt));
        json.WriteString("reason", error.DidNotOccur ? "did_not_occur" : "incorrect_data");
        Texts(json, "correctiveEventIDs", error.CorrectedBy);
        json.WriteEndObject();
    }

    private static void Readings(Utf8JsonWriter json, IReadOnlyList<EpcisReading> readings)
    {
        if (readings.Count == 0)
        {
            return;
        }

        json.WriteStartArray("sensorElementList");
        json.WriteStartObject();
        json.WriteStartArray("sensorReport");
        foreach (var reading in readings)
        {
            json.WriteStartObject();
            json.WriteString("type", reading.Type);
            Number(json, "minValue", reading.Lowest);
            Number(json, "maxValue", reading.Highest);
            json.WriteString("uom", reading.Unit);
            Text(json, "exception", reading.Alarm ? "ALARM_CONDITION" : null);
            Text(json, "kit:limit", reading.Limit);
            json.WriteEndObject();
        }

        json.WriteEndArray();
        json.WriteEndObject();
        json.WriteEndArray();
    }

    private static void Quantities(Utf8JsonWriter json, IReadOnlyList<EpcisQuantity> quantities)
    {
        if (quantities.Count == 0)
        {
            return;
        }

        json.WriteStartArray("childQuantityList");
        foreach (var quantity in quantities)
        {
            json.WriteStartObject();
            json.WriteString("epcClass", quantity.Kind);
            json.WriteNumber("quantity", quantity.Count);
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }

    private static void Typed(Utf8JsonWriter json, string list, string name, IReadOnlyList<(string Type, string Id)> lines)
    {
        if (lines.Count == 0)
        {
            return;
        }

        json.WriteStartArray(list);
        foreach (var (type, id) in lines)
        {
            json.WriteStartObject();
            json.WriteString("type", type);
            json.WriteString(name, id);
            json.WriteEndObject();
        }

        json.WriteEndArray();
    }

    private static void Texts(Utf8JsonWriter json, string name, IReadOnlyList<string> texts)
    {
        if (texts.Count == 0)
        {
            return;
        }

        json.WriteStartArray(name);
        foreach (var text in texts)
        {
            json.WriteStringValue(text);
        }

        json.WriteEndArray();
    }

    private static void Identified(Utf8JsonWriter json, string name, string? id)
    {
        if (id is not null)
        {
            json.WriteStartObject(name);
            json.WriteString("id", id);
            json.WriteEndObject();
        }
    }

    private static void Text(Utf8JsonWriter json, string name, string? text)
    {
        if (text is not null)
        {
            json.WriteString(name, text);
        }
    }

    private static void Number(Utf8JsonWriter json, string name, double? number)
    {
        if (number is { } known && double.IsFinite(known))
        {
            json.WriteNumber(name, Math.Round(known, 3));
        }
    }

    private static void Value(Utf8JsonWriter json, string name, object value)
    {
        switch (value)
        {
            case long number:
                json.WriteNumber(name, number);
                break;
            case bool yes:
                json.WriteBoolean(name, yes);
                break;
            default:
                json.WriteString(name, (string)value);
                break;
        }
    }

    private static string Moment(DateTimeOffset at) => at.ToString("yyyy-MM-dd'T'HH:mm:ss.fffzzz", CultureInfo.InvariantCulture);
}
