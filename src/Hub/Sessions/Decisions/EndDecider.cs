using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Ending early and converting.</summary>
internal static class EndDecider
{
    public static Decision Decide(SessionState state, SessionCommand command, Actor by) => command switch
    {
        Abort abort => new Decided([new SessionAborted(state.Stage, abort.Reason, by)], Silence.Of(state), null),
        ConvertSession convert => new Decided([new SessionConverted(state.Stage, convert.Target, convert.Reason, by)], Silence.Of(state), null),
        _ => throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group."),
    };
}
