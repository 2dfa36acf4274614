using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Decisions;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Neighbours;

/// <summary>What events of the log mean for the kit, for a hub that did not decide them. An order is passed on only while it is still the step in hand and permitted; silence always is. Pure but for the clock.</summary>
internal static class LogEffects
{
    /// <summary>Effects of the events after a version.</summary>
    /// <param name="state">The session as it stands.</param>
    /// <param name="version">Version up to which the kit was told.</param>
    /// <param name="clock">Tells an order's expiry in this hub's time.</param>
    public static IReadOnlyList<KitEffect> Since(SessionState state, long version, HubClock clock)
    {
        var news = state.History.Where(recorded => recorded.Sequence > version).Select(recorded => recorded.Event).ToList();
        var effects = new List<KitEffect>();

        // Steps the hub itself ended at a greeting: the order may still be on its way.
        effects.AddRange(news.OfType<StepOver>().Where(over => over.Code == Contracts.RefusalCodes.LinkLost).Select(over => new EndStep(over.StepId)));
        if (state.Step is not { InHand: true } step)
        {
            return effects;
        }

        var permitted = !step.CutAsked && Stages.IsWorking(state.Stage);
        if (permitted && news.OfType<StepOrdered>().FirstOrDefault(ordered => ordered.Order.StepId == step.StepId) is { } order)
        {
            effects.Add(new CarryStep(order.ExpiresAt is { } expires ? clock.InOwnTime(order.Order, expires) : order.Order));
        }
        else if (step.OrderedAtVersion <= version && news.Exists(Silences))
        {
            effects.Add(new EndStep(step.StepId));
        }

        return effects;
    }

    /// <summary>Whether whatever is in hand is cut by it (<see cref="Silence"/>).</summary>
    private static bool Silences(SessionEvent happened) => happened
        is StepCutAsked or ControlTakenOver or ControlReturned or ControlLapsed
        or SessionHeld or SessionStopped or LinkWasLost or SessionAborted or SessionConverted or StageAdvanced or StageSteppedBack
        or ConsentWithdrawn or ConsentTakenBack;
}
