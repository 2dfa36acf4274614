using TeleHearing.Audiology.PureTone;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Sessions.State;

internal static partial class SessionFold
{
    private static SessionState Ordered(SessionState state, StepOrdered e, long sequence) => state with
    {
        LastOrderNumber = Math.Max(state.LastOrderNumber, e.Order.OrderNumber),
        OrderedSteps = state.OrderedSteps.Add(e.Order.StepId),
        PresentationsByHand = e.Order.Request is PresentToneStep ? state.PresentationsByHand.Add(e.Order.StepId) : state.PresentationsByHand,
        Step = new StepState(e.Order, sequence, e.LoudConfirmed, Started: false, CutAsked: false, null, null, null, []),
    };

    /// <summary>Changes the step in hand; a late word about an older or ended one changes nothing.</summary>
    private static SessionState InStep(SessionState state, StepId stepId, Func<StepState, StepState> change) =>
        state.Step is { InHand: true } step && step.StepId == stepId ? state with { Step = change(step) } : state;

    private static SessionState Over(SessionState state, StepOver e)
    {
        if (state.Step is not { InHand: true } step || step.StepId != e.StepId)
        {
            return state;
        }

        var ended = state with { Step = step with { Ending = e.Ending, Code = e.Code, Reason = e.Reason }, Worn = WornAfter(state, step, e) };

        if (step.Order.Request is WearGearStep { Route: ConductionRoute.Air } && e.Ending == StepEnding.Completed)
        {
            // Plugs were moved: which earphone is on which ear has to be proved again.
            ended = ended with { SideProof = null, SidesAcceptedReason = null };
        }

        // Measured before the gap, delivered after it: kept in the history, but it no longer describes room or earphones.
        var counts = e.Ending == StepEnding.Completed && step.OrderedAtVersion > state.RepeatedAtVersion;
        return (counts ? e.Result : null) switch
        {
            KitCheckResult result => ended with { KitCheck = result },

            // A room accepted before testing was accepted as it was measured then; during testing a new measurement only moves the bounds.
            RoomResult result => ended with { Room = result, RoomAcceptedReason = state.Stage == SessionStage.Testing ? state.RoomAcceptedReason : null },
            SideProofResult result => ended with { SideProof = result, SidesAcceptedReason = null },
            _ => ended,
        };
    }

    // The kit knows what was marked at its screen; where its word and this differ, its refusal says so and nothing counts as worn.
    private static WornGear? WornAfter(SessionState state, StepState step, StepOver e) => step.Order.Request switch
    {
        WearGearStep wear => e.Ending == StepEnding.Completed ? new WornGear(wear.Route, wear.Ear) : e.Ending == StepEnding.Refused ? state.Worn : null,
        _ => e.Code == RefusalCodes.GearNotWorn ? null : state.Worn,
    };
}
