using System.CommandLine;
using System.CommandLine.Parsing;

namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What is wrong with a command line, in the words of who wrote it: one sentence for each mistake, without the whole help.</summary>
internal static class CommandMistakes
{
    /// <summary>Runs what the command line asks, or says what is wrong with it.</summary>
    public static async Task<int> InvokeAsync(ParseResult parsed, CancellationToken cancellationToken)
    {
        // --help and --version put their own action in the place of the errors'
        if (parsed.Errors.Count == 0 || parsed.Action is not System.CommandLine.Invocation.ParseErrorAction)
        {
            return await parsed.InvokeAsync(parsed.InvocationConfiguration, cancellationToken);
        }

        foreach (var sentence in Sentences(parsed))
        {
            await parsed.InvocationConfiguration.Error.WriteLineAsync(sentence.AsMemory(), cancellationToken);
        }

        return AgentCommands.BadInputExitCode;
    }

    /// <summary>Every mistake.</summary>
    public static IReadOnlyList<string> Sentences(ParseResult parsed)
    {
        var command = parsed.CommandResult.Command;
        if (command is RootCommand)
        {
            var given = parsed.UnmatchedTokens is [var word, ..] ? $"\"{word}\" is not one" : "none was given";
            return [$"The first word must be a verb ({string.Join(", ", command.Subcommands.Select(verb => verb.Name))}), and {given}."];
        }

        var missing = command.Options.Where(option => option.Required && parsed.GetResult(option) is not { Implicit: false }).ToList();
        var unknown = parsed.UnmatchedTokens;
        return
        [
            .. unknown.Select(word => $"\"{word}\" is not known to {command.Name}; see {AgentProgram.Run($"{command.Name} --help")}"),
            .. missing.Select(option => $"{option.Name} is missing: {option.Description}."),
            .. parsed.Errors
                .Where(error => !unknown.Any(word => Speaks(error, word)) && !missing.Exists(option => Speaks(error, option.Name)))
                .Select(Sentence)
                .Distinct(),
        ];
    }

    private static string Sentence(ParseError error) => error.SymbolResult switch
    {
        OptionResult { IdentifierToken: not null, Tokens.Count: 0, Option: var option } => $"{option.Name} needs a value: {option.Description}.",
        OptionResult { IdentifierTokenCount: > 1, Option: var option } => $"{option.Name} can be given only once.",
        _ => error.Message,
    };

    /// <summary>The parser's own sentences quote the word they are about.</summary>
    private static bool Speaks(ParseError error, string word) => error.Message.Contains($"'{word}'", StringComparison.Ordinal);
}
