using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What a session says to its kit. The session has happened: nothing is refused here, and what the kit's record does not know is not added. Pure.</summary>
internal static class UseDecider
{
    /// <summary>The session's kit check passed and the session goes on.</summary>
    public static IReadOnlyList<KitFact> TakenIntoUse(KitState state, SessionId sessionId, Actor by) =>
        state.InSession == sessionId || !(KitStages.ServesAnybody(state.Stage) || KitStages.ServesKnownEars(state.Stage)) ? [] : [new KitTakenIntoUse(sessionId, by)];

    /// <summary>The assistant packed up, and the session noted it.</summary>
    public static IReadOnlyList<KitFact> PackUpNoted(KitState state, SessionId sessionId, Actor by) =>
        state.InSession == sessionId && state.InHand is not null && !state.PackUpNoted ? [new SessionPackUpNoted(sessionId, by)] : [];

    /// <summary>The session is over.</summary>
    public static IReadOnlyList<KitFact> SetDown(KitState state, SessionId sessionId, Actor by, IReadOnlyList<KitSessionUse> sessions)
    {
        if (state.InSession != sessionId)
        {
            return [];
        }

        // Packed by a count of the case it waits for its return; packed by the session's word alone only when no other session needs it there.
        var loan = state.LoanInHand;
        var neededAgain = loan is not null && sessions.Any(use =>
            use.SessionId != sessionId && use.Stage == SessionStage.Scheduled && DateOnly.FromDateTime(use.PlannedStart.UtcDateTime) <= loan.DueBack);
        return [new KitSetDown(sessionId, loan is not null && (loan.PackedUp || (state.PackUpNoted && !neededAgain)), by)];
    }
}
