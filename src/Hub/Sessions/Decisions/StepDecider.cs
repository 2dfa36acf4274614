using System.Globalization;
using TeleHearing.Audiology;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Plans;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Ordering a step and cutting one.</summary>
internal static class StepDecider
{
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
        return state.Consent.WhyNot(ConsentPurposes.Of(order.Request)) is { } unconsented ? new Refused(unconsented) : UncoveredEar(state, order.Request) ?? NotNext(state, order.Request, context.Facts) ?? TooLoud(order) ?? Order(state, order, by, envelope, context);
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
            order.LoudConfirmed ? ConfirmedCeilingDbHl : HearingLevels.LoudAboveDbHl,
            context.Seed,
            state.Room?.LowestProvable ?? [],
            WithWhatIsKnown(state, order.Request, context.Facts))
        {
            LowestProvableBone = state.Room?.LowestProvableBone,
            Covered = state.Consent.Covered,
        };
        return new Decided([new StepOrdered(step, order.LoudConfirmed, by) { ExpiresAt = context.SharedNow + life }], [new CarryStep(step)], step.StepId);
    }

    private static Decision? NotNext(SessionState state, StepRequest request, SessionFacts facts) =>
        request is MeasurePartStep part && !(SessionPlanning.Next(state, facts) is PlanStep.Measure next && next.Part == part.Part)
            ? Decision.Refuse(RefusalCodes.StaleView, "That part is not what the protocol asks for next.", "Look at the plan as it is now, or change it.")
            : null;

    /// <summary>What a console says is known counts for nothing: the record does.</summary>
    private static StepRequest WithWhatIsKnown(SessionState state, StepRequest request, SessionFacts facts) => request switch
    {
        SearchThresholdStep search => search with { Known = search.Masked ? SessionPlanning.Known(state) : null, MaskingRules = search.Masked ? state.Protocol?.MaskingRules : null },
        MeasurePartStep part => SessionPlanning.Filled(state, facts, part),
        _ => request,
    };

    private static Decision? UncoveredEar(SessionState state, StepRequest request)
    {
        foreach (var ear in Covered(request).Where(ear => !state.IsSafe(ear)))
        {
            return Decision.Refuse(RefusalCodes.GateNotMet, $"The {(ear == Ear.Left ? "left" : "right")} ear must not be covered, so nothing can be played to it.", "Test the other ear, or step back to the look in the ears.");
        }

        return null;
    }

    /// <summary>Ears an earphone lies on while the step runs. A bone vibrator covers none.</summary>
    private static IEnumerable<Ear> Covered(StepRequest request)
    {
        switch (request)
        {
            case PresentToneStep tone:
                return Of(tone.Ear, tone.Route, tone.MaskerDbEm is not null);
            case SearchThresholdStep search:
                return Of(search.Ear, search.Route, search.Masked);
            case SearchEarStep search:
                return [search.Ear];
            case WearGearStep { Ear: { } tested }:
                // By bone the other ear gets an earphone, whether it is masked already or not.
                return [tested.Other()];
            case MeasurePartStep part:
                return Of(part.Part.Ear, part.Part.Route, part.Part.Masked);
            default:
                return [];
        }
    }

    private static IEnumerable<Ear> Of(Ear ear, ConductionRoute route, bool masked) => (route == ConductionRoute.Air, masked) switch
    {
        (true, true) => [ear, ear.Other()],
        (true, false) => [ear],
        (false, true) => [ear.Other()],
        _ => [],
    };

    private static Decision? TooLoud(OrderStep order)
    {
        double? level = order.Request switch
        {
            PresentToneStep tone => tone.LevelDbHl,
            ProveSidesStep sides => sides.LevelDbHl,
            _ => null,
        };
        if (order.Request is PresentToneStep { MaskerDbEm: > MaskingLevels.LoudAboveDbEm and var masker } && !order.LoudConfirmed)
        {
            return Decision.Refuse(RefusalCodes.NotConfirmedLoud, string.Create(CultureInfo.InvariantCulture, $"Masking of {masker:0.#} dB is above {MaskingLevels.LoudAboveDbEm:0} dB of effective masking and was not confirmed."), "Confirm that so loud a masker is meant, then ask again.");
        }

        return level > HearingLevels.LoudAboveDbHl && !order.LoudConfirmed
            ? Decision.Refuse(RefusalCodes.NotConfirmedLoud, string.Create(CultureInfo.InvariantCulture, $"{level:0.#} dB HL is above {HearingLevels.LoudAboveDbHl:0} dB HL and was not confirmed."), "Confirm that so loud a tone is meant, then ask again.")
            : null;
    }
}
