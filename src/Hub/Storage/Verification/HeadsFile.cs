using System.Globalization;
using System.Text;

namespace TeleHearing.Hub.Storage.Verification;

/// <summary>Heads as a text that can be printed, sent out and read back: a line each, "sequence hash chain".</summary>
internal static class HeadsFile
{
    private const string Title = "# TeleHearing heads of chains";

    /// <summary>Writes heads.</summary>
    public static string Write(IEnumerable<ChainHead> heads, DateTimeOffset at)
    {
        var text = new StringBuilder().Append(CultureInfo.InvariantCulture, $"{Title}, {at.UtcDateTime:yyyy-MM-dd HH:mm:ss} UTC\n");
        foreach (var head in heads)
        {
            text.Append(CultureInfo.InvariantCulture, $"{head.Sequence} {head.Hash} {head.Chain}\n");
        }

        return text.ToString();
    }

    /// <summary>Reads heads.</summary>
    /// <exception cref="FormatException">A line is not one of heads; the message names it.</exception>
    public static IReadOnlyList<ChainHead> Read(string text)
    {
        var heads = new List<ChainHead>();
        foreach (var (line, number) in text.ReplaceLineEndings("\n").Split('\n').Select((line, index) => (line.Trim(), index + 1)))
        {
            if (line.Length == 0 || line[0] == '#')
            {
                continue;
            }

            var parts = line.Split(' ', 3);
            if (parts.Length != 3 || !long.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out var sequence) || parts[1].Length != 64 || !parts[1].All(char.IsAsciiHexDigit))
            {
                throw new FormatException(string.Create(CultureInfo.InvariantCulture, $"Line {number} is not a head: expected a number, 64 hexadecimal digits and the name of a chain."));
            }

            heads.Add(new ChainHead(parts[2], sequence, parts[1]));
        }

        return heads;
    }
}
