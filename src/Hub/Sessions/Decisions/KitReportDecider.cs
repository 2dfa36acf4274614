using TeleHearing.Contracts;
using TeleHearing.Hub.Consent;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Turns a kit's report into events. What a kit reports has happened: it is refused only when it cannot be about this session.</summary>
internal static class KitReportDecider
{
    public static Decision Decide(SessionState state, JournaledReport journaled, SessionFacts facts) => journaled.Report switch
    {
        StepStarted started => About(state, started.StepId, new StepBegan(started.StepId, journaled.KitMs)),
        TrialDone done => About(state, done.StepId, new TrialTaken(done.StepId, done.Trial, journaled.KitMs)),
        ThresholdFound found => About(state, found.Threshold.StepId, new ThresholdMeasured(found.Threshold, journaled.KitMs)),
        StepEnded ended => About(state, ended.StepId, new StepOver(ended.StepId, ended.Ending, ended.Code, ended.Reason, ended.Result, journaled.KitMs)),
        StopPressed => Stop(state, journaled, facts),
        AssistantDone done => Decision.Of(new CardMarkedDone(done.Stage, journaled.KitMs)),
        ConsentAnsweredHere answered => ConsentDecider.AnsweredHere(state, answered),
        ConsentTakenBackHere => ConsentDecider.TakenBackHere(state),
        HelpCalled => Decision.Of(new HelpWasCalled(journaled.KitMs)),
        _ => Decision.Refuse(RefusalCodes.Invalid, "The kit reported something this hub does not know."),
    };

    private static Decision About(SessionState state, StepId stepId, SessionEvent happened) => state.OrderedSteps.Contains(stepId)
        ? Decision.Of(happened)
        : Decision.Refuse(RefusalCodes.Invalid, "The kit reported about a step that was never ordered in this session.");

    private static Decided Stop(SessionState state, JournaledReport journaled, SessionFacts facts)
    {
        var pressed = new SiteStopPressed(journaled.KitMs);
        var moves = state.Stage != SessionStage.Stopped && SessionMachine.WhyNot(state, facts, SessionTrigger.StopPressed) is null;
        return new Decided(moves ? [pressed, new SessionStopped(state.Stage, StopCause.Site, null)] : [pressed], Silence.Of(state), null);
    }
}
