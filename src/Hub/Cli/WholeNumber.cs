using System.CommandLine.Parsing;
using System.Globalization;

namespace TeleHearing.Hub.Cli;

/// <summary>Options that take a whole number in a range.</summary>
internal static class WholeNumber
{
    /// <summary>Reads one. The range is held here and not by a validator: asking a validator's result for a value that could not be read throws.</summary>
    /// <param name="sentence">What is wanted, as a sentence without its end, e.g. "--port must be a port from 1 to 65535".</param>
    /// <param name="least">Least number taken.</param>
    /// <param name="most">Greatest number taken.</param>
    public static Func<ArgumentResult, int> From(string sentence, int least, int most) => result =>
    {
        var word = result.Tokens[0].Value;
        if (int.TryParse(word, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out var number) && number >= least && number <= most)
        {
            return number;
        }

        result.AddError($"{sentence}, not \"{word}\".");
        return least;
    };
}
