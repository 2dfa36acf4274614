using System.Text;
using System.Text.Json;

namespace TeleHearing.Testing;

/// <summary>Looks for texts in files, in every form in which they could lie there.</summary>
public static class Traces
{
    /// <summary>Files below a folder that hold one of the texts, with the text. Locks are left out: they are empty, and nobody may open them while they are held.</summary>
    public static IReadOnlyList<string> Find(string folder, params string[] texts) =>
        [.. Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Where(file => !file.EndsWith(".lock", StringComparison.Ordinal)).SelectMany(file => In(Read(file), texts).Select(text => $"{Path.GetRelativePath(folder, file)}: {text}"))];

    /// <summary>Texts that stand in some bytes in one of the forms.</summary>
    public static IReadOnlyList<string> In(byte[] content, params string[] texts) => [.. texts.Where(text => Forms(text).Any(form => content.AsSpan().IndexOf(form) >= 0))];

    /// <summary>A file that another process may be writing.</summary>
    public static byte[] Read(string file)
    {
        using var stream = new FileStream(file, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        using var content = new MemoryStream();
        stream.CopyTo(content);
        return content.ToArray();
    }

    // Base64 by its three alignments, without the ends, which depend on what stands beside.
    private static IEnumerable<byte[]> Forms(string text)
    {
        var utf8 = Encoding.UTF8.GetBytes(text);
        yield return utf8;
        yield return Encoding.Unicode.GetBytes(text);
        yield return Encoding.UTF8.GetBytes(JsonEncodedText.Encode(text).ToString());
        for (var shift = 0; shift < 3; shift++)
        {
            var base64 = Convert.ToBase64String([.. new byte[shift], .. utf8]);
            yield return Encoding.ASCII.GetBytes(base64[(shift == 0 ? 0 : 4)..^4]);
        }
    }
}
