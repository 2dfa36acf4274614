using System.Text.RegularExpressions;

namespace TeleHearing.Hub.Data;

/// <summary>Looks for names and references where they stand as words of their own: P-1 is not found in P-10, nor a name inside another.</summary>
internal static class WholeWords
{
    /// <summary>Any of these texts as whole words, the longest first; capitals do not count. Matches nothing when there are none.</summary>
    public static Regex Any(IReadOnlyCollection<string> texts) => new(
        texts.Where(text => !string.IsNullOrWhiteSpace(text)).ToList() is { Count: > 0 } words
            ? $@"(?<![\p{{L}}\p{{N}}])(?:{string.Join('|', words.Distinct(StringComparer.OrdinalIgnoreCase).OrderByDescending(word => word.Length).Select(Regex.Escape))})(?![\p{{L}}\p{{N}}])"
            : "(?!)",
        RegexOptions.IgnoreCase | RegexOptions.CultureInvariant);
}
