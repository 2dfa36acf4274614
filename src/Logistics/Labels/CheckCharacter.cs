namespace TeleHearing.Logistics.Labels;

/// <summary>Check character of ISO 7064, MOD 37,36 (hybrid system): one letter or digit that follows letters and digits and finds slips of the hand.</summary>
/// <remarks>
/// It finds every wrong single character. It finds all but 72 of the 45,360 exchanges of two unequal neighbours (counted over all states of the check);
/// <see cref="LabelCode"/> makes its codes so that none of these can occur in them.
/// </remarks>
public static class CheckCharacter
{
    /// <summary>Digits, then letters: the value of a character is its place, 0 to 35.</summary>
    public const string Alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ";

    /// <summary>Longest text, characters (design).</summary>
    public const int LongestText = 200;

    private const int Modulus = 36;

    /// <summary>The check character of a text.</summary>
    /// <param name="text">Characters of <see cref="Alphabet"/>, one or more.</param>
    /// <exception cref="ArgumentException">The text is empty, too long or has another character.</exception>
    public static char Of(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        if (text.Length is 0 or > LongestText)
        {
            throw new ArgumentException($"Give 1 to {LongestText} characters.", nameof(text));
        }

        return Check(text) is { } check ? Alphabet[check] : throw new ArgumentException("Only the letters A to Z and digits have a check character.", nameof(text));
    }

    /// <summary>Whether the last character of a text is the check character of those before it.</summary>
    /// <param name="text">Text with its check character. Anything that cannot be one is not right, never an error.</param>
    public static bool IsRight(string? text) =>
        text is { Length: > 1 and <= LongestText + 1 } && Check(text.AsSpan(0, text.Length - 1)) is { } check && Value(text[^1]) == check;

    private static int? Check(ReadOnlySpan<char> text)
    {
        var state = Modulus;
        foreach (var character in text)
        {
            if (Value(character) is not { } value)
            {
                return null;
            }

            state = Next(state, value);
        }

        // The last step must come to 1: state + check = 1 (mod 36), with the state never 0.
        return (Modulus + 1 - state) % Modulus;
    }

    private static int? Value(char character) => character switch
    {
        >= '0' and <= '9' => character - '0',
        >= 'A' and <= 'Z' => character - 'A' + 10,
        _ => null,
    };

    // P(j+1) = 2 ((P(j) + a(j)) mod 36, with 36 for 0) mod 37
    private static int Next(int state, int value)
    {
        var sum = (state + value) % Modulus;
        return (sum == 0 ? Modulus : sum) * 2 % (Modulus + 1);
    }
}
