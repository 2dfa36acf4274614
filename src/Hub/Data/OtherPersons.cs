using System.Globalization;
using System.Text.Json.Nodes;
using System.Text.RegularExpressions;

namespace TeleHearing.Hub.Data;

/// <summary>Takes the names of others out of what is given to a person: who works at the clinic becomes a number, who else was tested becomes nobody. Whole words alone, and never in what nobody typed (<see cref="ClosedWords"/>).</summary>
internal sealed class OtherPersons
{
    /// <summary>A text shorter than this is no name.</summary>
    private const int ShortestName = 2;

    private readonly Dictionary<string, string> _instead = new(StringComparer.OrdinalIgnoreCase);
    private readonly Regex _names;

    /// <param name="staff">Names of who works at the clinic.</param>
    /// <param name="others">Names and references of others who were tested.</param>
    /// <param name="own">Names and references of the person, which stay.</param>
    public OtherPersons(IEnumerable<string> staff, IEnumerable<string> others, IReadOnlyCollection<string> own)
    {
        var named = staff.Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal).Select((name, index) => (name, instead: string.Create(CultureInfo.InvariantCulture, $"clinic staff {index + 1}")))
            .Concat(others.Select(name => (name, instead: "another person")));
        foreach (var (name, instead) in named.Where(pair => pair.name.Length >= ShortestName && !own.Any(WholeWords.Any([pair.name]).IsMatch)))
        {
            _instead.TryAdd(name, instead);
        }

        _names = WholeWords.Any(_instead.Keys);
    }

    /// <summary>A text that somebody typed, without them.</summary>
    public string Without(string text) => _names.Replace(text, found => _instead[found.Value]);

    /// <summary>The same of every text in a tree that somebody typed.</summary>
    public JsonNode? Without(JsonNode? node) => Without(node, null);

    private JsonNode? Without(JsonNode? node, string? field)
    {
        switch (node)
        {
            case JsonObject fields:
                foreach (var (name, value) in fields.ToList())
                {
                    fields[name] = Without(value?.DeepClone(), name);
                }

                return fields;
            case JsonArray items:
                for (var index = 0; index < items.Count; index++)
                {
                    items[index] = Without(items[index]?.DeepClone(), field);
                }

                return items;
            case JsonValue value when value.TryGetValue<string>(out var text):
                return ClosedWords.Is(field, text) ? node : JsonValue.Create(Without(text));
            default:
                return node;
        }
    }
}
