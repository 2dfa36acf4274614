using System.Globalization;
using System.Text.Json.Nodes;

namespace TeleHearing.Hub.Data;

/// <summary>Takes the names of others out of what is given to a person: who works at the clinic becomes a number, who else was tested becomes nobody.</summary>
internal sealed class OtherPersons
{
    /// <summary>A text shorter than this is no name: taking it out would take it out of the middle of words.</summary>
    private const int ShortestName = 3;

    private readonly List<(string Name, string Instead)> _names;

    /// <param name="staff">Names of who works at the clinic.</param>
    /// <param name="others">Names and references of others who were tested.</param>
    /// <param name="own">Names and references of the person, which stay.</param>
    public OtherPersons(IEnumerable<string> staff, IEnumerable<string> others, IReadOnlyCollection<string> own) =>
        _names =
        [
            .. staff.Distinct(StringComparer.Ordinal).Order(StringComparer.Ordinal).Select((name, index) => (name, string.Create(CultureInfo.InvariantCulture, $"clinic staff {index + 1}")))
                .Concat(others.Distinct(StringComparer.Ordinal).Select(name => (name, "another person")))
                .Where(pair => pair.name.Length >= ShortestName && !own.Any(text => text.Contains(pair.name, StringComparison.OrdinalIgnoreCase)))
                .OrderByDescending(pair => pair.name.Length),
        ];

    /// <summary>A text without them.</summary>
    public string Without(string text) => _names.Aggregate(text, (left, pair) => left.Replace(pair.Name, pair.Instead, StringComparison.OrdinalIgnoreCase));

    /// <summary>The same of every text in a tree.</summary>
    public JsonNode? Without(JsonNode? node)
    {
        switch (node)
        {
            case JsonObject fields:
                foreach (var (name, value) in fields.ToList())
                {
                    fields[name] = Without(value?.DeepClone());
                }

                return fields;
            case JsonArray items:
                for (var index = 0; index < items.Count; index++)
                {
                    items[index] = Without(items[index]?.DeepClone());
                }

                return items;
            case JsonValue value when value.TryGetValue<string>(out var text):
                return JsonValue.Create(Without(text));
            default:
                return node;
        }
    }
}
