using System.Text.Json;

namespace TeleHearing.Audiology.PureTone.Protocols;

/// <summary>A fault of a protocol file.</summary>
/// <param name="Line">Line, from 1.</param>
/// <param name="Sentence">What is wrong and what to do.</param>
public sealed record ProtocolFileFault(int Line, string Sentence);

/// <summary>What reading a protocol came to. A closed set.</summary>
public abstract record ProtocolReading
{
    private ProtocolReading()
    {
    }

    /// <summary>The protocol.</summary>
    public sealed record Read(TestProtocol Protocol) : ProtocolReading;

    /// <summary>The file cannot be used.</summary>
    /// <param name="Faults">Everything that is wrong, by line.</param>
    public sealed record Faulty(IReadOnlyList<ProtocolFileFault> Faults) : ProtocolReading;
}

/// <summary>Protocols as files: one JSON object, described in docs/guides/protocols.md.</summary>
public static class ProtocolFile
{
    private const int LongestCharacters = 65_536;

    /// <summary>Reads a protocol. Unknown fields, values of the wrong kind and contradictions are all named at once, by line; nothing is guessed.</summary>
    public static ProtocolReading Parse(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length > LongestCharacters)
        {
            return new ProtocolReading.Faulty([new ProtocolFileFault(1, $"The file is longer than {LongestCharacters} characters; a protocol is not.")]);
        }

        if (string.IsNullOrWhiteSpace(text))
        {
            return new ProtocolReading.Faulty([new ProtocolFileFault(1, "The file is empty. A protocol is one object in braces.")]);
        }

        try
        {
            var form = new ProtocolForm(ProtocolLines.Read(text));
            var protocol = form.Protocol();

            // What contradicts what is worth saying only of values that could be read.
            List<ProtocolFileFault> faults =
            [
                .. form.Faults,
                .. ProtocolRules.Faults(protocol).Where(form.IsRead).Select(fault => new ProtocolFileFault(form.LineOf(fault), fault.Sentence)),
            ];

            return faults.Count == 0 ? new ProtocolReading.Read(protocol) : new ProtocolReading.Faulty([.. faults.OrderBy(fault => fault.Line)]);
        }
        catch (ProtocolLayoutException fault)
        {
            return Unreadable(fault.Line, fault.Message);
        }
        catch (JsonException fault)
        {
            return Unreadable((int)(fault.LineNumber ?? 0) + 1, "Something is missing or too much here or just before: a comma, a quote, a colon, a bracket or a brace.");
        }
        catch (InvalidOperationException)
        {
            // The reader finds broken characters inside a text only when the text is taken out.
            return new ProtocolReading.Faulty([new ProtocolFileFault(1, "The file has a text that is not Unicode.")]);
        }
    }

    /// <summary>Writes a protocol, every field of it, so that reading gives the same again.</summary>
    public static string Write(TestProtocol protocol)
    {
        ArgumentNullException.ThrowIfNull(protocol);
        return "{\n" + string.Join(",\n", ProtocolForm.Written(protocol).Select(field => $"  {JsonSerializer.Serialize(field.Name)}: {field.Json}")) + "\n}\n";
    }

    private static ProtocolReading.Faulty Unreadable(int line, string why) => new([new ProtocolFileFault(line, $"The file cannot be read here. {why}")]);
}
