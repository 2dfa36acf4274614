namespace TeleHearing.Charts;

/// <summary>Breaks a sentence into lines, since text in a drawing does not break by itself.</summary>
internal static class TextLines
{
    /// <summary>Mean width of a character as a share of the size of the type. That of wide system fonts, so that a line never runs out of the drawing in narrow ones.</summary>
    private const double WidthShare = 0.54;

    /// <summary>Width that a text takes at most, in drawing units.</summary>
    public static double WidthOf(string text, double size) => text.Length * size * WidthShare;

    /// <summary>The lines. A word longer than a line is cut.</summary>
    /// <param name="text">Text.</param>
    /// <param name="size">Size of the type in drawing units.</param>
    /// <param name="width">Room in drawing units.</param>
    public static IEnumerable<string> Break(string text, double size, double width)
    {
        var most = Math.Max(1, (int)(width / (size * WidthShare)));
        var line = string.Empty;
        foreach (var word in text.Split(' ', StringSplitOptions.RemoveEmptyEntries).SelectMany(word => word.Chunk(most).Select(piece => new string(piece))))
        {
            if (line.Length > 0 && line.Length + 1 + word.Length > most)
            {
                yield return line;
                line = word;
            }
            else
            {
                line = line.Length == 0 ? word : $"{line} {word}";
            }
        }

        if (line.Length > 0)
        {
            yield return line;
        }
    }
}
