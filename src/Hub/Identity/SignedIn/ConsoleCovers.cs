namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>Whether a connected console is covered: then it is told nothing. Any thread.</summary>
internal sealed class ConsoleCovers(LivePeople live, SignIns signIns)
{
    /// <summary>Whether it is covered, or its sign-in has ended.</summary>
    public bool Covers(string connectionId) => live.SignInOf(connectionId) is { } id && signIns.Known(id) is not { Locked: false };
}
