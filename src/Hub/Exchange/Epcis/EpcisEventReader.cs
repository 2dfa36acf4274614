using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;
using System.Text.RegularExpressions;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>Reads one event of somebody else's document. Pure.</summary>
internal static partial class EpcisEventReader
{
    /// <summary>Most things one event may name.</summary>
    public const int MostThings = 500;

    /// <summary>Longest id, characters.</summary>
    public const int LongestId = 500;

    private static readonly string[] _types = ["ObjectEvent", "AggregationEvent", "AssociationEvent", "TransactionEvent", "TransformationEvent"];

    private static readonly string[] _things = ["epcList", "childEPCs", "inputEPCList", "outputEPCList"];

    /// <summary>Reads an event, or says everything that is wrong with it.</summary>
    /// <returns>Null when something is.</returns>
    public static ForeignEvent? Read(JsonElement json, int place, IReadOnlyDictionary<string, string> prefixes, List<EpcisFault> faults)
    {
        var before = faults.Count;
        if (json.ValueKind != JsonValueKind.Object)
        {
            faults.Add(new EpcisFault(place, string.Empty, "An event is an object."));
            return null;
        }

        var type = Text(json, "type", place, faults);
        Need(_types.Contains(type), "type", $"An event is one of: {string.Join(", ", _types)}.");
        var raw = json.GetRawText();
        Need(raw.Length <= EpcisDocumentReader.LongestEvent, string.Empty, $"An event is at most {EpcisDocumentReader.LongestEvent} characters long.");

        var time = Moment(Text(json, "eventTime", place, faults));
        Need(time is not null, "eventTime", "The time must be as in 2026-11-20T10:02:11.000-05:00, with its offset.");
        Need(Text(json, "eventTimeZoneOffset", place, faults) is { } offset && Offset().IsMatch(offset), "eventTimeZoneOffset", "The offset of the place's clock must be as in -05:00.");

        var action = Text(json, "action", place, faults);
        Need(type == "TransformationEvent" ? action is null : action is "ADD" or "OBSERVE" or "DELETE", "action", "The action is ADD, OBSERVE or DELETE; a transformation has none.");

        var parent = Text(json, "parentID", place, faults);
        Need(parent is null || IsId(parent), "parentID", "The parent must be a URI.");

        // The schema lets an aggregation without a parent pass; what is put into a case nobody names says nothing.
        Need(parent is not null || type is not ("AggregationEvent" or "AssociationEvent") || (type == "AggregationEvent" && action == "OBSERVE"), "parentID", "Something is put into, or taken out of, a case that is not named.");
        List<string> about = parent is null ? [] : [parent];
        foreach (var list in _things)
        {
            about.AddRange(Ids(json, list, place, faults));
        }

        var id = Text(json, "eventID", place, faults);
        Need(id is null || IsId(id), "eventID", "The event's id must be a URI.");
        var wrong = Wrong(json, place, faults);
        Need(wrong is null || id is not null, "eventID", "A declaration that an event is wrong must have the id of that event.");

        var (step, disposition) = (EpcisWords.Short(Text(json, "bizStep", place, faults)), EpcisWords.Short(Text(json, "disposition", place, faults)));
        var reason = Enum.TryParse<CarrierReason>(Own(json, prefixes, EpcisWords.OwnSpace + "carrierReason"), out var said) && Enum.IsDefined(said) ? said : CarrierReason.None;
        var readings = EpcisSensorReader.Read(json, place, faults);
        if (faults.Count > before)
        {
            return null;
        }

        return new ForeignEvent(
            place,
            id ?? "urn:uuid:" + OfContent(raw),
            time!.Value,
            [.. about.Distinct()],
            EpcisWords.Status(Own(json, prefixes, EpcisWords.PostSpace + "event")) ?? EpcisWords.Status(step, disposition, reason),
            reason,
            json.TryGetProperty("readPoint", out var point) && point.ValueKind == JsonValueKind.Object ? Text(point, "id", place, faults) : null,
            readings,
            wrong,
            raw);

        void Need(bool holds, string field, string sentence)
        {
            if (!holds)
            {
                faults.Add(new EpcisFault(place, field, sentence));
            }
        }
    }

    /// <summary>A moment with its offset; absent when it is none. The offset is needed: without it nobody knows when it was.</summary>
    internal static DateTimeOffset? Moment(string? text) =>
        text is not null && WithOffset().IsMatch(text) && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.None, out var at) ? at : null;

    /// <summary>A text; absent when there is none. Something else in its place is a fault.</summary>
    internal static string? Text(JsonElement of, string name, int place, List<EpcisFault> faults)
    {
        if (!of.TryGetProperty(name, out var value) || value.ValueKind == JsonValueKind.Null)
        {
            return null;
        }

        if (value.ValueKind == JsonValueKind.String && value.GetString() is { } text && text.Length <= LongestId && !text.Any(char.IsControl))
        {
            return text;
        }

        faults.Add(new EpcisFault(place, name, $"This must be one line of at most {LongestId} characters."));
        return null;
    }

    private static bool? Wrong(JsonElement json, int place, List<EpcisFault> faults)
    {
        if (!json.TryGetProperty("errorDeclaration", out var error))
        {
            return null;
        }

        if (error.ValueKind != JsonValueKind.Object || Moment(Text(error, "declarationTime", place, faults)) is null)
        {
            faults.Add(new EpcisFault(place, "errorDeclaration", "A declaration that an event is wrong says when it was made: declarationTime."));
            return null;
        }

        return EpcisWords.Short(Text(error, "reason", place, faults)) == "did_not_occur";
    }

    private static List<string> Ids(JsonElement json, string list, int place, List<EpcisFault> faults)
    {
        if (!json.TryGetProperty(list, out var value))
        {
            return [];
        }

        if (value.ValueKind != JsonValueKind.Array || value.GetArrayLength() > MostThings || value.EnumerateArray().Any(id => id.ValueKind != JsonValueKind.String || !IsId(id.GetString()!)))
        {
            faults.Add(new EpcisFault(place, list, $"This must be a list of at most {MostThings} URIs."));
            return [];
        }

        return [.. value.EnumerateArray().Select(id => id.GetString()!)];
    }

    // A bare path counts as absolute on some systems; a URI has a scheme.
    private static bool IsId(string text) => text.Length <= LongestId && text.IndexOf(':') > 0 && !text.Any(char.IsWhiteSpace) && Uri.TryCreate(text, UriKind.Absolute, out _);

    private static string? Own(JsonElement json, IReadOnlyDictionary<string, string> prefixes, string word) => json.EnumerateObject()
        .Where(pair => pair.Value.ValueKind == JsonValueKind.String && Expanded(pair.Name, prefixes) == word)
        .Select(pair => pair.Value.GetString())
        .FirstOrDefault();

    private static string Expanded(string name, IReadOnlyDictionary<string, string> prefixes) =>
        name.IndexOf(':') is > 0 and var colon && prefixes.TryGetValue(name[..colon], out var space) ? space + name[(colon + 1)..] : name;

    // An event without an id is known again by what it says.
    private static Guid OfContent(string raw)
    {
        var bytes = SHA256.HashData(Encoding.UTF8.GetBytes(raw)).AsSpan(0, 16);
        bytes[6] = (byte)((bytes[6] & 0x0F) | 0x80);
        bytes[8] = (byte)((bytes[8] & 0x3F) | 0x80);
        return new Guid(bytes, bigEndian: true);
    }

    [GeneratedRegex("^[+-](?:(?:0[0-9]|1[0-3]):[0-5][0-9]|14:00)$", RegexOptions.CultureInvariant)]
    private static partial Regex Offset();

    [GeneratedRegex(@"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d{1,9})?(Z|[+-]\d{2}:\d{2})$", RegexOptions.CultureInvariant)]
    private static partial Regex WithOffset();
}
