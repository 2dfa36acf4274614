using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Taking control and giving it up.</summary>
internal static class ControlDecider
{
    public static Decision Decide(SessionState state, SessionCommand command, Actor by)
    {
        if (command is ReleaseControl)
        {
            return Decision.Of(new ControlReleased(by));
        }

        var taken = new ControlTaken(state.Epoch + 1, by);
        return state.Stage == SessionStage.Scheduled
            ? Decision.Of(taken, new StageAdvanced(SessionStage.Scheduled, SessionStage.Connecting, by))
            : Decision.Of(taken);
    }
}
