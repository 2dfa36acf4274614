using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Journey;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>What a session's events say to its kit: that it is in use once the kit check is passed, that it is set down once the session is over, and what it has to wipe. Appended with the events in one transaction, so that the two records cannot disagree.</summary>
internal sealed class KitUse
{
    private readonly KitFacts _facts;

    public KitUse(KitFacts facts) => _facts = facts;

    /// <summary>The facts of the kit that belong to a session's new events.</summary>
    /// <returns>A refusal when the kit must not be used after all: the gate has looked at it before, and something may have been recorded since.</returns>
    public async Task<(IReadOnlyList<KitFactAppend> Appends, Refusal? Refusal)> Of(LoadedSession session, IReadOnlyList<SessionEvent> events, Actor by, CancellationToken cancellationToken)
    {
        var passed = events.Any(happened => happened is StageAdvanced { From: SessionStage.KitCheck });
        var over = events.Any(happened => happened is StageAdvanced { To: SessionStage.Closed } or SessionAborted or SessionConverted);
        if ((!passed && !over) || await _facts.Load(session.Plan.KitId, cancellationToken) is not { Integrity.Valid: true } kit)
        {
            // To facts that were changed from outside nothing is added; the gate does not let such a kit through, and a session is ended all the same.
            return ([], null);
        }

        if (over)
        {
            var context = await _facts.Context(session.Plan.KitId, cancellationToken);
            var awaited = Stages.IsOpen(session.State.Stage) ? UseDecider.WipeAwaited(kit.State, session.State.SessionId) : [];
            return (Appends(kit, [.. UseDecider.SetDown(kit.State, session.State.SessionId, by, context), .. awaited]), null);
        }

        // What is appended expects the version read here: a hold placed from now on makes the append lose its race, and the decision is made anew.
        return await _facts.HoldsOnTesting(kit, session.Plan.Person.Reference, cancellationToken) is { Count: > 0 } holds
            ? ([], new Refusal(RefusalCodes.KitHeld, "Something holds this kit. " + string.Join(" ", holds), "Use another kit, or have the coordinator see to it."))
            : (Appends(kit, UseDecider.TakenIntoUse(kit.State, session.State.SessionId, by, keepsJournal: true)), null);
    }

    private static IReadOnlyList<KitFactAppend> Appends(LoadedKit kit, IReadOnlyList<KitFact> facts) => facts.Count == 0 ? [] : [new KitFactAppend(kit, facts)];
}
