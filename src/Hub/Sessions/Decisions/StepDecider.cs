using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Ordering a step and cutting one.</summary>
internal static class StepDecider
{
    /// <summary>The hub's ceiling without a confirmation, dB HL: above it the operator is warned (IEC 60645-1:2001, 5.2).</summary>
    public const double UnconfirmedCeilingDbHl = 100;

    /// <summary>The hub's ceiling with a confirmation, dB HL: the highest level of an air-conduction audiometer of type 1 (IEC 60645-1, from memory). The kit's own ceilings are lower where they must be.</summary>
    public const double ConfirmedCeilingDbHl = 120;

    public static Decision Decide(SessionState state, SessionCommand command, Actor by, CommandEnvelope envelope, DecisionContext context)
    {
        if (command is CutStep cut)
        {
            return cut.StepId == state.Step?.StepId
                ? new Decided([new StepCutAsked(cut.StepId, by)], [new EndStep(cut.StepId)], null)
                : Decision.Refuse(RefusalCodes.NoStep, "That step is not in hand any more.", "Look at the session as it is now.");
        }

        var order = (OrderStep)command;
        return UncoveredEar(state, order.Request) ?? TooLoud(order) ?? Order(state, order, by, envelope, context);
    }

    private static Decided Order(SessionState state, OrderStep order, Actor by, CommandEnvelope envelope, DecisionContext context)
    {
        var left = envelope.ExpiresAt - context.Facts.Now;
        var life = left < context.CommandLife ? left : context.CommandLife;
        var step = new StepOrder(
            state.SessionId,
            context.NextStepId,
            state.LastOrderNumber + 1,
            state.Epoch,
            context.HubRunningMs + (long)life.TotalMilliseconds,
            order.LoudConfirmed ? ConfirmedCeilingDbHl : UnconfirmedCeilingDbHl,
            context.Seed,
            state.Room?.LowestProvable ?? [],
            order.Request);
        return new Decided([new StepOrdered(step, order.LoudConfirmed, by)], [new CarryStep(step)], step.StepId);
    }

    private static Decision? UncoveredEar(SessionState state, StepRequest request)
    {
        Ear? ear = request switch
        {
            PresentToneStep tone => tone.Ear,
            SearchThresholdStep search => search.Ear,
            SearchEarStep search => search.Ear,
            _ => null,
        };
        return ear is { } asked && !state.IsSafe(asked)
            ? Decision.Refuse(RefusalCodes.GateNotMet, $"The {(asked == Ear.Left ? "left" : "right")} ear must not be covered, so it cannot be tested.", "Test the other ear, or step back to the look in the ears.")
            : null;
    }

    private static Decision? TooLoud(OrderStep order)
    {
        double? level = order.Request switch
        {
            PresentToneStep tone => tone.LevelDbHl,
            ProveSidesStep sides => sides.LevelDbHl,
            _ => null,
        };
        return level > UnconfirmedCeilingDbHl && !order.LoudConfirmed
            ? Decision.Refuse(RefusalCodes.NotConfirmedLoud, string.Create(CultureInfo.InvariantCulture, $"{level:0.#} dB HL is above {UnconfirmedCeilingDbHl:0} dB HL and was not confirmed."), "Confirm that so loud a tone is meant, then ask again.")
            : null;
    }
}
