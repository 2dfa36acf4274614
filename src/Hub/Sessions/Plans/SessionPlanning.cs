using TeleHearing.Audiology;
using TeleHearing.Audiology.Interpretation;
using TeleHearing.Audiology.Masking;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Estimation;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.State;

namespace TeleHearing.Hub.Sessions.Plans;

/// <summary>Asks the planner about a session. Pure.</summary>
internal static class SessionPlanning
{
    /// <summary>What comes next; absent without a protocol.</summary>
    public static PlanStep? Next(SessionState state, SessionFacts facts) =>
        state.Protocol is { } protocol ? AudiogramPlanner.Next(protocol, Known(state), Context(state, facts)) : null;

    /// <summary>What the protocol asks for and the kit cannot play, in sentences.</summary>
    public static IEnumerable<string> LeftOut(SessionState state, SessionFacts facts) =>
        state.Protocol is { } protocol ? AudiogramPlanner.NotPlayable(protocol, Known(state), Context(state, facts)).Select(note => note.Sentence) : [];

    /// <summary>What is to be known of the age that estimates begin from, in sentences.</summary>
    public static IEnumerable<string> OfAge(SessionState state, SessionFacts facts) =>
        Told(state, facts).AgeYears is { } age && EstimateAge.Of(age).Note is { } note ? [note] : [];

    /// <summary>Everything measured, in order.</summary>
    public static IReadOnlyList<Measurement> Known(SessionState state) => [.. state.Thresholds.Select(Measurements.ToMeasurement)];

    /// <summary>What the plan depends on besides protocol and measurements.</summary>
    private static PlanContext Context(SessionState state, SessionFacts facts) => Told(state, facts) with { Playable = facts.Playable };

    /// <summary>As much of it as a kit is told: what it can play it knows itself.</summary>
    private static PlanContext Told(SessionState state, SessionFacts facts) => Gear(state) with
    {
        // The site is told no more of the person than an estimate needs.
        AgeYears = state.Protocol is { Estimates: true } ? facts.AgeYears : null,
    };

    private static PlanContext Gear(SessionState state) => new(state.KitCheck?.Gear?.TransducerKind ?? Audiology.Levels.TransducerKind.SupraAural)
    {
        Overrides = [.. state.PlanOverrides, .. Unsafe(state)],
        Fitted = state.Worn?.Route,
        VibratorSide = state.Worn?.Ear,
        EarsSwapped = state.SideProof is not null && !state.SidesKnown,
    };

    /// <summary>How far the results of each ear can be relied on.</summary>
    public static IReadOnlyList<EarReliability> Reliability(SessionState state)
    {
        var context = Gear(state);
        var known = context.Counting(Known(state));
        var rules = state.Protocol is { } protocol ? protocol.MaskingRules is { } name ? MaskingRules.ByName(name) : null : MaskingRules.Usual;
        return [.. known.Select(one => one.Ear).Distinct().Order().Select(ear => Audiology.Interpretation.Reliability.Judge(ear, known, context.Earphones, rules))];
    }

    /// <summary>The step with what the hub knows in place of what a console says.</summary>
    public static MeasurePartStep Filled(SessionState state, SessionFacts facts, MeasurePartStep step) => step with { Protocol = state.Protocol, Known = Known(state), Context = Told(state, facts) };

    // What must not be covered is left out as if the clinician had left it out: it was the clinician who said so when looking into the ear.
    private static IEnumerable<PlanOverride> Unsafe(SessionState state)
    {
        foreach (var ear in new[] { Ear.Right, Ear.Left }.Where(ear => state.EarLooks.TryGetValue(ear, out var look) && !look.SafeToCover))
        {
            yield return new PlanOverride.SkipPart(new PlanPart(ear, ConductionRoute.Air, Masked: false));
            yield return new PlanOverride.SkipPart(new PlanPart(ear, ConductionRoute.Air, Masked: true));
            foreach (var route in Enum.GetValues<ConductionRoute>())
            {
                yield return new PlanOverride.SkipPart(new PlanPart(ear.Other(), route, Masked: true));
                if (route != ConductionRoute.Air)
                {
                    yield return new PlanOverride.SkipPart(new PlanPart(ear.Other(), route, Masked: false));
                }
            }
        }
    }
}
