using System.Text;
using System.Xml;

namespace TeleHearing.Charts;

/// <summary>Writes a drawing as text.</summary>
internal static class SvgText
{
    private const string Namespace = "http://www.w3.org/2000/svg";

    /// <summary>The drawing as a document of its own, that a browser or a printer opens without anything else.</summary>
    public static string Write(SvgElement root)
    {
        var text = new StringBuilder();
        using (var writer = XmlWriter.Create(text, new XmlWriterSettings { Indent = true, OmitXmlDeclaration = true, CheckCharacters = true }))
        {
            WriteElement(writer, root);
        }

        return text.ToString();
    }

    private static void WriteElement(XmlWriter writer, SvgElement element)
    {
        writer.WriteStartElement(element.Name, Namespace);
        foreach (var (name, value) in element.Attributes)
        {
            writer.WriteAttributeString(name, value);
        }

        if (element.Text is { } text)
        {
            writer.WriteString(Writable(text));
        }

        foreach (var child in element.Children)
        {
            WriteElement(writer, child);
        }

        writer.WriteEndElement();
    }

    // A name or a reason typed by a person may hold control characters, which no XML document can carry.
    private static string Writable(string text) =>
        text.All(XmlConvert.IsXmlChar) ? text : string.Concat(text.Select(character => XmlConvert.IsXmlChar(character) ? character : '\uFFFD'));
}
