using System.Collections.Frozen;
using System.Globalization;
using System.Reflection;
using System.Text.Json.Serialization;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Data;

/// <summary>Texts of a record that nobody typed: ids, times, hashes, and words of a closed list (stages, ears, kinds of entries). They name nobody, whatever they look like.</summary>
internal static class ClosedWords
{
    /// <summary>A run of letters and digits this long is no word: a hash, a key, a signed message.</summary>
    private const int LongestWord = 40;

    private static readonly FrozenSet<string> _words = Words(typeof(Protocol).Assembly)
        .Concat(Words(typeof(ClosedWords).Assembly))
        .Concat(Words(typeof(Audiology.Ear).Assembly))
        .Concat(Words(typeof(Logistics.LogisticsFault).Assembly))
        .ToFrozenSet(StringComparer.Ordinal);

    /// <summary>Whether a text is one.</summary>
    /// <param name="field">Name of the field it stands in.</param>
    /// <param name="text">The text.</param>
    public static bool Is(string? field, string text) =>
        (field is not null && (field is "id" || field.EndsWith("Id", StringComparison.Ordinal) || field.EndsWith("Ids", StringComparison.Ordinal)))
        || (field != "name" && _words.Contains(text))
        || Guid.TryParse(text, out _)
        || IsTime(text)
        || (text.Length > LongestWord && !text.Any(char.IsWhiteSpace));

    // As times are written: RFC 3339, and days alone.
    private static bool IsTime(string text) => text.Length >= 10 && char.IsAsciiDigit(text[0])
        && (DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.RoundtripKind, out _) || TimeSpan.TryParse(text, CultureInfo.InvariantCulture, out _));

    private static IEnumerable<string> Words(Assembly assembly) => assembly.GetTypes().SelectMany(type =>
        type.IsEnum ? Enum.GetNames(type).SelectMany(name => new[] { name, char.ToLowerInvariant(name[0]) + name[1..] })
        : type.GetCustomAttributes<JsonDerivedTypeAttribute>(inherit: false).Select(derived => derived.TypeDiscriminator as string).OfType<string>());
}
