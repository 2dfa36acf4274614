using System.Text;
using System.Text.Json;

namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>One field of a protocol file, with the lines its values stand on.</summary>
/// <param name="Name">Name of the field.</param>
/// <param name="Line">Line of the name, from 1.</param>
/// <param name="IsList">Whether the value is a list.</param>
/// <param name="Values">The value, or the values of the list.</param>
internal sealed record ProtocolField(string Name, int Line, bool IsList, IReadOnlyList<ProtocolValue> Values);

/// <summary>One value: text, number, or true or false.</summary>
/// <param name="Line">Line, from 1.</param>
/// <param name="Value">A string, a double or a bool; null for anything else.</param>
internal sealed record ProtocolValue(int Line, object? Value);

/// <summary>Takes a protocol file apart into fields, keeping lines, so that every fault can be named by its line.</summary>
internal static class ProtocolLines
{
    /// <summary>The fields in the order of the file.</summary>
    /// <exception cref="JsonException">The text is not JSON.</exception>
    /// <exception cref="ProtocolLayoutException">It is not one object of plain fields and lists.</exception>
    public static IReadOnlyList<ProtocolField> Read(string text)
    {
        var bytes = Encoding.UTF8.GetBytes(text);
        var reader = new Utf8JsonReader(bytes, new JsonReaderOptions { CommentHandling = JsonCommentHandling.Skip });
        var fields = new List<ProtocolField>();
        if (!reader.Read() || reader.TokenType != JsonTokenType.StartObject)
        {
            throw Wrong(bytes, reader, "A protocol is one object in braces.");
        }

        while (reader.Read() && reader.TokenType == JsonTokenType.PropertyName)
        {
            var (name, line) = (reader.GetString()!, LineOf(bytes, reader));
            reader.Read();
            var isList = reader.TokenType == JsonTokenType.StartArray;
            fields.Add(new ProtocolField(name, line, isList, isList ? List(bytes, ref reader) : [Value(bytes, ref reader)]));
        }

        while (reader.Read())
        {
            // Nothing may follow; the reader itself says so.
        }

        return fields;
    }

    private static List<ProtocolValue> List(byte[] bytes, ref Utf8JsonReader reader)
    {
        var values = new List<ProtocolValue>();
        while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
        {
            values.Add(Value(bytes, ref reader));
        }

        return values;
    }

    private static ProtocolValue Value(byte[] bytes, ref Utf8JsonReader reader) => new(
        LineOf(bytes, reader),
        reader.TokenType switch
        {
            JsonTokenType.String => reader.GetString(),
            JsonTokenType.Number => reader.TryGetDouble(out var number) && double.IsFinite(number) ? number : null,
            JsonTokenType.True => true,
            JsonTokenType.False => false,
            JsonTokenType.Null => null,
            _ => throw Wrong(bytes, reader, "Only text, numbers, true, false and lists of them may stand here."),
        });

    private static int LineOf(byte[] bytes, Utf8JsonReader reader) => 1 + bytes.AsSpan(0, (int)reader.TokenStartIndex).Count((byte)'\n');

    private static ProtocolLayoutException Wrong(byte[] bytes, Utf8JsonReader reader, string sentence) => new(LineOf(bytes, reader), sentence);
}

/// <summary>A text that is JSON and yet no protocol.</summary>
/// <param name="line">Line, from 1.</param>
/// <param name="sentence">What is wrong.</param>
internal sealed class ProtocolLayoutException(int line, string sentence) : Exception(sentence)
{
    /// <summary>Line, from 1.</summary>
    public int Line { get; } = line;
}
