using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Moving along the main line, holding and going on.</summary>
internal static class FlowDecider
{
    public static Decision Decide(SessionState state, SessionCommand command, Actor by, SessionFacts facts)
    {
        switch (command)
        {
            case Advance:
                return Decision.Of(new StageAdvanced(state.Stage, state.Stage + 1, by));
            case StepBack:
                return Decision.Of(new StageSteppedBack(state.Stage, state.Stage - 1, by));
            case Hold hold:
                return new Decided([new SessionHeld(state.Stage, hold.Reason, by)], Silence.Of(state), null);
            case Resume resume:
                if (state.Stage == SessionStage.Stopped && string.IsNullOrWhiteSpace(resume.Note))
                {
                    return Decision.Refuse(RefusalCodes.GateNotMet, "After a stop the session goes on with a note only.", "Write what happened and why it is right to go on.");
                }

                var back = ReturnPoint.Of(state, facts);
                return Decision.Of(new SessionResumed(state.Stage, back.Stage, resume.Note, back.Repeat, by, back.CardAgain));
            default:
                throw new ArgumentOutOfRangeException(nameof(command), command.GetType().Name, "Not a command of this group.");
        }
    }
}
