using System.CommandLine;

namespace TeleHearing.Hub.Cli;

/// <summary>Options that take one of a few words.</summary>
internal static class Choice
{
    /// <summary>Makes one. The first word is the default; any other than the words given is refused with the option's name.</summary>
    public static Option<string> Option(string name, string description, params string[] words)
    {
        var option = new Option<string>(name)
        {
            Description = description,
            HelpName = string.Join('|', words),
            DefaultValueFactory = _ => words[0],
            CustomParser = result =>
            {
                var word = result.Tokens[0].Value;
                if (!words.Contains(word, StringComparer.Ordinal))
                {
                    result.AddError($"{name} must be {string.Join(" or ", words)}, not \"{word}\".");
                }

                return word;
            },
        };
        option.CompletionSources.Add(words);
        return option;
    }
}
