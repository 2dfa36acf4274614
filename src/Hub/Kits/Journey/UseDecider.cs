using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Kits.Journey;

/// <summary>What a session says to its kit. The session has happened: nothing is refused here, and what the kit's record does not know is not added. Pure.</summary>
internal static class UseDecider
{
    /// <summary>The session's kit check passed and the session goes on.</summary>
    /// <param name="state">The kit.</param>
    /// <param name="sessionId">The session.</param>
    /// <param name="by">Who went on.</param>
    /// <param name="keepsJournal">Whether the kit's program writes what it measures into a journal of its own, which is to be wiped; a use that is only recorded leaves nothing.</param>
    public static IReadOnlyList<KitFact> TakenIntoUse(KitState state, SessionId sessionId, Actor by, bool keepsJournal = false) =>
        state.InSession == sessionId || !(KitStages.ServesAnybody(state.Stage) || KitStages.ServesKnownEars(state.Stage)) ? [] : [new KitTakenIntoUse(sessionId, by) { AwaitsWipe = keepsJournal }];

    /// <summary>A session that had begun is over, and may never have taken the kit into use: its kit was linked all the same, and people answered on its screen.</summary>
    public static IReadOnlyList<KitFact> WipeAwaited(KitState state, SessionId sessionId) =>
        state.InSession == sessionId || state.Unwiped.Contains(sessionId) ? [] : [new WipeAwaited(sessionId)];

    /// <summary>The assistant packed up, and the session noted it.</summary>
    public static IReadOnlyList<KitFact> PackUpNoted(KitState state, SessionId sessionId, Actor by) =>
        state.InSession == sessionId && state.InHand is not null && !state.PackUpNoted ? [new SessionPackUpNoted(sessionId, by)] : [];

    /// <summary>The session is over.</summary>
    public static IReadOnlyList<KitFact> SetDown(KitState state, SessionId sessionId, Actor by, KitContext context)
    {
        if (state.InSession != sessionId)
        {
            return [];
        }

        // Packed by a count of the case it waits for its return; packed by the session's word alone only when no other session needs it there. One of a day that is over was never held and needs nothing.
        var loan = state.LoanInHand;
        var neededAgain = loan is not null && context.Sessions.Any(use =>
            use.SessionId != sessionId && use.Stage == SessionStage.Scheduled && context.Day(use.PlannedStart) is var day && day >= context.Today && day <= loan.DueBack);
        return [new KitSetDown(sessionId, loan is not null && (loan.PackedUp || (state.PackUpNoted && !neededAgain)), by)];
    }
}
