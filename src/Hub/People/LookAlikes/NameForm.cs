using System.Globalization;
using System.Text;

namespace TeleHearing.Hub.People.LookAlikes;

/// <summary>A name in the form in which names are compared: small letters without marks, in words, whose order does not count.</summary>
internal static class NameForm
{
    /// <summary>Most words of a name that are compared (design): the last ones by the alphabet are left out.</summary>
    public const int MostWords = 6;

    /// <summary>The words of a name, in alphabetical order.</summary>
    public static IReadOnlyList<string> Words(string? name)
    {
        var plain = new StringBuilder();
        foreach (var letter in (name ?? string.Empty).ToLowerInvariant())
        {
            if (letter is '\'' or '’' or 'ʼ' or '`')
            {
                // An apostrophe joins what it stands between.
                continue;
            }

            if (LatinLetters.Plain(letter) is { } without)
            {
                plain.Append(without);
            }
            else if (char.IsLetterOrDigit(letter))
            {
                plain.Append(letter);
            }
            else if (CharUnicodeInfo.GetUnicodeCategory(letter) is not (UnicodeCategory.NonSpacingMark or UnicodeCategory.SpacingCombiningMark or UnicodeCategory.EnclosingMark))
            {
                // Marks fall away; everything else parts words.
                plain.Append(' ');
            }
        }

        return [.. plain.ToString().Split(' ', StringSplitOptions.RemoveEmptyEntries).Order(StringComparer.Ordinal).Take(MostWords)];
    }
}
