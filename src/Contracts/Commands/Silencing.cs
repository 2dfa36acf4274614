namespace TeleHearing.Contracts;

/// <summary>Which commands are silence. Said here once; a shorter list elsewhere says why it is shorter.</summary>
public static class Silencing
{
    /// <summary>Whether a command ends what sounds, when something does. Such a command goes ahead of all else, and has a measure of its own.</summary>
    /// <param name="command">The command, of whatever content; null is none.</param>
    public static bool Silences(SessionCommand? command) => DoesNoHarm(command)
        || command is TakeOverControl or Abort or ConvertSession
        || (command is AnswerConsent { Replies: { } replies } && replies.Any(reply => reply is { Given: false } && ConsentPurposes.EndsTesting(reply.Purpose)));

    /// <summary>Whether it does no harm in a session that has moved on, so that it is taken also when the picture it was asked by is old. Ending a session, taking it over or answering for the person is more than silence, and is to be asked by what is there now.</summary>
    /// <param name="command">The command, of whatever content; null is none.</param>
    public static bool DoesNoHarm(SessionCommand? command) => command is Hold or CutStep or WithdrawConsent or TakeBackControl;
}
