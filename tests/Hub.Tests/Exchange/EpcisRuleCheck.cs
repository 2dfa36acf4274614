using System.Globalization;
using System.Text.Json.Nodes;

namespace TeleHearing.Hub.Tests.Exchange;

/// <summary>Rules of EPCIS 2.0 the schema does not check, and our own about persons. Reads the finished text and shares no code with what wrote it.</summary>
internal static class EpcisRuleCheck
{
    public static IReadOnlyList<string> Faults(string document)
    {
        var faults = new List<string>();
        var happened = new Dictionary<string, JsonObject>();
        var wrong = new HashSet<string>();
        var recordedBefore = DateTimeOffset.MinValue;
        foreach (var one in JsonNode.Parse(document)!["epcisBody"]!["eventList"]!.AsArray().Select(node => node!.AsObject()))
        {
            var id = (string)one["eventID"]!;
            var (time, recorded) = (Moment(one, "eventTime"), Moment(one, "recordTime"));
            Need(recorded >= recordedBefore, "was recorded before the one before it");
            Need(time <= recorded, "was recorded before it happened");
            Need(((string)one["eventTime"]!).EndsWith((string)one["eventTimeZoneOffset"]!, StringComparison.Ordinal), "has another offset than its time");
            recordedBefore = recorded;
            if (one["errorDeclaration"] is JsonObject error)
            {
                // EPCIS 2.0, section 7.4.1: the same event once more, its id too; only the declaration and the time of recording differ.
                Need(happened.TryGetValue(id, out var meant), "declares an event wrong that is not there before it");
                Need(meant is not null && JsonNode.DeepEquals(Bare(meant), Bare(one)), "declares another event wrong than the one of its id");
                Need((string)error["reason"]! is "did_not_occur" or "incorrect_data", "has no reason");
                wrong.Add(id);
            }
            else
            {
                Need(happened.TryAdd(id, one), "has the id of another event");
                Contents(one);
            }

            void Need(bool holds, string what)
            {
                if (!holds)
                {
                    faults.Add($"{id} {what}");
                }
            }

            void Contents(JsonObject aggregation)
            {
                var type = (string)aggregation["type"]!;
                if (type == "ObjectEvent")
                {
                    Need(aggregation["epcList"]!.AsArray().Count > 0, "is about nothing");
                    return;
                }

                var parent = (string?)aggregation["parentID"];
                Need(parent is not null, "has no parent");
                var inside = Inside(type);
                foreach (var child in Children(aggregation))
                {
                    Need(child != parent, "has a child that is its own parent");
                    Need((string)aggregation["action"]! == "ADD" ? !inside.ContainsKey(child) : inside.GetValueOrDefault(child) == parent, $"{aggregation["action"]} does not fit where {child} is");
                }
            }
        }

        foreach (var meant in JsonNode.Parse(document)!["epcisBody"]!["eventList"]!.AsArray().SelectMany(node => node!["errorDeclaration"]?["correctiveEventIDs"]?.AsArray().ToList() ?? []))
        {
            if (!happened.ContainsKey((string)meant!))
            {
                faults.Add($"{meant} is named as a correction and is not there");
            }
        }

        return faults;

        Dictionary<string, string> Inside(string type)
        {
            var inside = new Dictionary<string, string>();
            foreach (var (_, one) in happened.Where(pair => !wrong.Contains(pair.Key) && (string)pair.Value["type"]! == type))
            {
                if (ReferenceEquals(one, happened.Last().Value))
                {
                    break;
                }

                foreach (var child in Children(one))
                {
                    if ((string)one["action"]! == "ADD")
                    {
                        inside[child] = (string)one["parentID"]!;
                    }
                    else
                    {
                        inside.Remove(child);
                    }
                }
            }

            return inside;
        }
    }

    private static IEnumerable<string> Children(JsonObject one) =>
        (one["childEPCs"]?.AsArray().Select(child => (string)child!) ?? []).Concat(one["childQuantityList"]?.AsArray().Select(child => (string)child!["epcClass"]!) ?? []);

    private static JsonObject Bare(JsonObject one)
    {
        var bare = one.DeepClone().AsObject();
        bare.Remove("errorDeclaration");
        bare.Remove("recordTime");
        return bare;
    }

    private static DateTimeOffset Moment(JsonObject one, string name) => DateTimeOffset.Parse((string)one[name]!, CultureInfo.InvariantCulture);
}
