using System.Globalization;
using System.Text.Json;
using System.Text.Unicode;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Exchange.Epcis;

/// <summary>What reading a document came to: all its faults, or its events.</summary>
internal sealed record EpcisDocument(IReadOnlyList<EpcisFault> Faults, IReadOnlyList<ForeignEvent> Events);

/// <summary>Reads an EPCIS 2.0 document, JSON-LD, of somebody else. Trusts nothing: whatever is given, there is an outcome. Pure.</summary>
/// <remarks>Limits are of this tool's design: far above what a carrier says of a few kits, far below what would burden a hub.</remarks>
internal static class EpcisDocumentReader
{
    /// <summary>Most events of one document.</summary>
    public const int MostEvents = 2000;

    /// <summary>Deepest nesting.</summary>
    public const int Deepest = 24;

    /// <summary>Longest event, characters: it may have to be kept as it is.</summary>
    public const int LongestEvent = 16_000;

    /// <summary>Most faults that are listed.</summary>
    public const int MostFaults = 200;

    private static readonly JsonDocumentOptions _options = new() { MaxDepth = Deepest, AllowDuplicateProperties = false };

    /// <param name="document">The document, UTF-8.</param>
    public static EpcisDocument Read(ReadOnlyMemory<byte> document)
    {
        if (document.Length > EpcisReply.MostBytes)
        {
            return Faulty(string.Empty, $"The document is larger than {EpcisReply.MostBytes / 1024 / 1024} MB. Divide it.");
        }

        // Some programs begin a file with a byte order mark.
        if (document.Span.StartsWith("\uFEFF"u8))
        {
            document = document[3..];
        }

        if (!Utf8.IsValid(document.Span))
        {
            return Faulty(string.Empty, "This is no text in UTF-8. Save it as UTF-8 and try again.");
        }

        JsonDocument json;
        try
        {
            json = JsonDocument.Parse(document, _options);
        }
        catch (JsonException fault)
        {
            return Faulty(string.Empty, string.Create(CultureInfo.InvariantCulture, $"This is no JSON, has a name twice in one object, or is nested more than {Deepest} deep: line {(fault.LineNumber ?? 0) + 1}, byte {(fault.BytePositionInLine ?? 0) + 1}."));
        }

        using (json)
        {
            try
            {
                return Read(json.RootElement);
            }
            catch (InvalidOperationException)
            {
                // The one way in which reading a parsed document still fails: half a character, written as an escape. Where it is the library does not say.
                return Faulty(string.Empty, "A text in the document holds half a character, as in \\uD800 alone.");
            }
        }
    }

    private static EpcisDocument Read(JsonElement root)
    {
        if (root.ValueKind != JsonValueKind.Object || Text(root, "type") != "EPCISDocument")
        {
            return Faulty("type", "This is no EPCIS document: \"type\" must be \"EPCISDocument\".");
        }

        var faults = new List<EpcisFault>();
        if (Text(root, "schemaVersion") is not { } version || !(version == "2" || version.StartsWith("2.", StringComparison.Ordinal)))
        {
            faults.Add(new EpcisFault(0, "schemaVersion", "Only version 2 of EPCIS is read."));
        }

        if (!root.TryGetProperty("epcisBody", out var body) || body.ValueKind != JsonValueKind.Object || !body.TryGetProperty("eventList", out var list) || list.ValueKind != JsonValueKind.Array)
        {
            faults.Add(new EpcisFault(0, "epcisBody", "There is no list of events: epcisBody.eventList."));
            return new EpcisDocument(faults, []);
        }

        if (list.GetArrayLength() > MostEvents)
        {
            faults.Add(new EpcisFault(0, "eventList", $"There are more than {MostEvents} events. Divide the document."));
            return new EpcisDocument(faults, []);
        }

        var (prefixes, events, place) = (Prefixes(root), new List<ForeignEvent>(), 0);
        foreach (var one in list.EnumerateArray())
        {
            place++;
            if (EpcisEventReader.Read(one, place, prefixes, faults) is { } read)
            {
                events.Add(read);
            }
        }

        foreach (var twice in events.GroupBy(read => (read.Id, read.DeclaredWrong is not null)).Where(same => same.Select(read => read.Json).Distinct().Count() > 1))
        {
            faults.Add(new EpcisFault(twice.Last().Place, "eventID", $"Events {string.Join(", ", twice.Select(read => read.Place))} have one id and say different things."));
        }

        return faults.Count == 0 ? new EpcisDocument([], events) : new EpcisDocument([.. faults.Take(MostFaults)], []);
    }

    /// <summary>Prefixes of the document's own words.</summary>
    private static Dictionary<string, string> Prefixes(JsonElement root)
    {
        var prefixes = new Dictionary<string, string>(StringComparer.Ordinal);
        if (root.TryGetProperty("@context", out var context))
        {
            foreach (var map in (context.ValueKind == JsonValueKind.Array ? context.EnumerateArray().ToList() : [context]).Where(part => part.ValueKind == JsonValueKind.Object))
            {
                foreach (var pair in map.EnumerateObject().Where(pair => pair.Value.ValueKind == JsonValueKind.String))
                {
                    prefixes[pair.Name] = pair.Value.GetString()!;
                }
            }
        }

        return prefixes;
    }

    private static string? Text(JsonElement of, string name) => of.TryGetProperty(name, out var value) && value.ValueKind == JsonValueKind.String ? value.GetString() : null;

    private static EpcisDocument Faulty(string field, string sentence) => new([new EpcisFault(0, field, sentence)], []);
}
