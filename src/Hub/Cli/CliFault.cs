namespace TeleHearing.Hub.Cli;

/// <summary>Something the user can put right stands in the way of a verb; the message is printed as it is.</summary>
/// <param name="message">What happened, what is safe, what to do next.</param>
/// <param name="exitCode">Exit code of the program.</param>
internal sealed class CliFault(string message, int exitCode = ExitCodes.BadInput) : Exception(message)
{
    public int ExitCode { get; } = exitCode;
}

/// <summary>Exit codes of every verb.</summary>
internal static class ExitCodes
{
    /// <summary>Done as asked.</summary>
    public const int Done = 0;

    /// <summary>Carried out, with a bad result: a session that did not close, a fault found.</summary>
    public const int Failed = 1;

    /// <summary>Not begun: something given was wrong.</summary>
    public const int BadInput = 2;
}
