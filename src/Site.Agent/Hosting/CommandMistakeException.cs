namespace TeleHearing.Site.Agent.Hosting;

/// <summary>What the command line asks cannot be done however the machine stands: a value out of range, options that do not go together, a place that cannot be written. Nothing was done. Its message holds a line for each mistake.</summary>
internal sealed class CommandMistakeException(params IEnumerable<string> mistakes) : Exception(string.Join(Environment.NewLine, mistakes));
