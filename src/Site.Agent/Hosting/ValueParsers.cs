using System.CommandLine.Parsing;
using System.Globalization;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>Reads values of the command line; one that cannot be read is refused with what is wanted.</summary>
internal static class ValueParsers
{
    /// <summary>One of the names of an enumeration, in any case.</summary>
    public static Func<ArgumentResult, T> Choice<T>(string option)
        where T : struct, Enum => result =>
    {
        var (word, names) = (Word(result), Enum.GetNames<T>());
        if (names.Contains(word, StringComparer.OrdinalIgnoreCase))
        {
            return Enum.Parse<T>(word, ignoreCase: true);
        }

        result.AddError($"{option} must be {List(names)}, not \"{word}\".");
        return default;
    };

    /// <summary>The same for an option that may be absent.</summary>
    public static Func<ArgumentResult, T?> OptionalChoice<T>(string option)
        where T : struct, Enum => result => Choice<T>(option)(result);

    /// <summary>One of these words.</summary>
    public static Func<ArgumentResult, string?> Among(string option, params string[] words) => result =>
    {
        var word = Word(result);
        if (!words.Contains(word, StringComparer.Ordinal))
        {
            result.AddError($"{option} must be {List(words)}, not \"{word}\".");
        }

        return word;
    };

    /// <summary>A number with a point.</summary>
    public static Func<ArgumentResult, double> Number(string option) => result =>
    {
        var word = Word(result);
        if (double.TryParse(word, NumberStyles.Float, CultureInfo.InvariantCulture, out var number) && double.IsFinite(number))
        {
            return number;
        }

        result.AddError($"{option} must be a number, with a point and without a unit, not \"{word}\".");
        return default;
    };

    /// <summary>The same for an option that may be absent.</summary>
    public static Func<ArgumentResult, double?> OptionalNumber(string option) => result => Number(option)(result);

    /// <summary>A number in a range, refused with a sentence of its own. The range is held here and not by a validator: asking a validator's result for a value that could not be read throws.</summary>
    public static Func<ArgumentResult, double?> OptionalNumber(string option, double least, double most, string sentence) => result =>
    {
        if (!double.TryParse(Word(result), NumberStyles.Float, CultureInfo.InvariantCulture, out var number))
        {
            return Number(option)(result);
        }

        if (!(number >= least && number <= most))
        {
            result.AddError(sentence);
        }

        return number;
    };

    /// <summary>A whole number in a range, refused with a sentence of its own.</summary>
    public static Func<ArgumentResult, int> Whole(string option, int least, int most, string sentence) => result =>
    {
        var number = Whole<int>(option)(result);
        if (int.TryParse(Word(result), NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out _) && (number < least || number > most))
        {
            result.AddError(sentence);
        }

        return number;
    };

    /// <summary>A whole number.</summary>
    /// <typeparam name="T">Type that holds it.</typeparam>
    public static Func<ArgumentResult, T> Whole<T>(string option)
        where T : struct, System.Numerics.IBinaryInteger<T>, System.Numerics.IMinMaxValue<T> => result =>
    {
        var word = Word(result);
        if (T.TryParse(word, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number))
        {
            return number;
        }

        result.AddError($"{option} must be a whole number, not \"{word}\".");
        return default;
    };

    /// <summary>The same for an option that may be absent.</summary>
    /// <typeparam name="T">Type that holds it.</typeparam>
    public static Func<ArgumentResult, T?> OptionalWhole<T>(string option)
        where T : struct, System.Numerics.IBinaryInteger<T>, System.Numerics.IMinMaxValue<T> => result => Whole<T>(option)(result);

    private static string Word(ArgumentResult result) => result.Tokens.Single().Value;

    private static string List(IReadOnlyList<string> words)
    {
        var lower = words.Select(word => word.ToLowerInvariant()).ToList();
        return lower.Count == 1 ? lower[0] : $"{string.Join(", ", lower.SkipLast(1))} or {lower[^1]}";
    }
}
