using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>What a kit's coming and going means for its session.</summary>
internal static class LinkDecider
{
    /// <summary>The kit is out of reach. A step in hand stays in hand: what became of it only the kit knows.</summary>
    /// <param name="state">The session.</param>
    /// <param name="facts">Time and kit.</param>
    /// <param name="since">Since when, at the longest, when that is not now.</param>
    public static IReadOnlyList<SessionEvent> Lost(SessionState state, SessionFacts facts, DateTimeOffset? since = null) =>
        !facts.KitOnline && SessionMachine.WhyNot(state, facts, SessionTrigger.LinkLost) is null
            ? [new LinkWasLost(state.Stage, since)]
            : [];

    /// <summary>The kit said hello. A step it neither has seen nor carries out was cut in flight: the hub ends it, it is never replayed.</summary>
    public static IReadOnlyList<SessionEvent> Greeted(SessionState state, KitHello hello, SessionFacts facts)
    {
        var events = new List<SessionEvent>();
        if (state.Step is { InHand: true } step && hello.UnfinishedStep != step.StepId && !hello.OrdersSeen.Contains(step.StepId))
        {
            events.Add(new StepOver(step.StepId, StepEnding.Refused, RefusalCodes.LinkLost, "The order was lost with the link; the kit never began it.", null, null));
        }

        if (state.Stage == SessionStage.LinkLost && SessionMachine.WhyNot(state, facts, SessionTrigger.LinkRestored) is null)
        {
            var back = ReturnPoint.Of(state, facts);
            events.Add(new LinkWasRestored(back.Stage, back.Repeat, back.CardAgain));
        }

        return events;
    }
}
