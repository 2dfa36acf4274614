using TeleHearing.Audiology;
using TeleHearing.Audiology.PureTone;
using TeleHearing.Audiology.PureTone.Planning;
using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Journal;

namespace TeleHearing.Site.Agent.Steps;

/// <summary>Whether an order may be begun at all. Pure: everything it needs is handed in.</summary>
internal static class OrderGate
{
    /// <summary>Shortest and longest presentation by hand, ms.</summary>
    private const int ShortestToneMs = 200;
    private const int LongestToneMs = 10_000;

    /// <summary>More frequencies than a whole ear with retests has would be a mistake.</summary>
    private const int MostFrequencies = 24;

    /// <summary>Why the order is not begun; absent when it may be.</summary>
    /// <param name="order">The order.</param>
    /// <param name="known">What the kit remembers of the session's orders.</param>
    /// <param name="session">The session the kit is in, as its hub last said.</param>
    /// <param name="hubNowMs">Hub's running time by the kit's estimate; absent when nothing was heard of it yet.</param>
    /// <param name="stopped">Whether stop is pressed.</param>
    /// <param name="withdrawn">Whether consent was taken back at the site.</param>
    public static Refusal? Check(StepOrder order, SessionOrders? known, SessionId? session, double? hubNowMs, bool stopped, bool withdrawn = false)
    {
        if (order.SessionId != session)
        {
            return new Refusal(RefusalCodes.OtherSession, "The order belongs to another session than the one this kit is in.", "Order the step in the session that is open with this kit.");
        }

        if (known is not null && order.OrderNumber <= known.HighestOrder)
        {
            return order.OrderNumber == known.HighestOrder
                ? new Refusal(RefusalCodes.Duplicate, "The kit has had an order with this number already.", "Order the step anew.")
                : new Refusal(RefusalCodes.OutOfOrder, "A newer order came before this one.", "Order the step anew.");
        }

        if (known is not null && order.ControlEpoch < known.HighestEpoch)
        {
            return new Refusal(RefusalCodes.OldEpoch, "Someone else has taken control since this was ordered.", "Take control to go on.");
        }

        if (hubNowMs is not { } now || now > order.ExpiresAtHubMs)
        {
            return new Refusal(RefusalCodes.Expired, "The order reached the kit too late, so nothing was played.", "Order the step anew.");
        }

        if (Fault(order) is { } sentence)
        {
            return new Refusal(RefusalCodes.Invalid, sentence, "Correct the order.");
        }

        return Unconsented(order, withdrawn) ?? (stopped && order.Request.MakesSound
            ? new Refusal(RefusalCodes.StopPressed, "Stop is pressed at the site, so the kit makes no sound.", "Speak with the person, then resume with a note.")
            : null);
    }

    private static Refusal? Unconsented(StepOrder order, bool withdrawn)
    {
        if (withdrawn)
        {
            return new Refusal(RefusalCodes.ConsentMissing, "Consent was taken back on the kit's screen, so the kit does nothing more of this session.", "Speak with the person. Go on only with new consent.");
        }

        var missing = ConsentPurposes.Of(order.Request).Where(purpose => order.Covered?.Contains(purpose) != true).Select(ConsentPurposes.InWords).ToList();
        return missing.Count == 0
            ? null
            : new Refusal(RefusalCodes.ConsentMissing, $"The order brings no consent to {string.Join(" or to ", missing)}, so nothing was begun.", "Record the person's answer, then order the step anew.");
    }

    private static string? Fault(StepOrder order)
    {
        if (!double.IsFinite(order.MaximumLevelDbHl))
        {
            return "The ceiling of the order is no number.";
        }

        if (order.LowestProvable is null || order.LowestProvable.Concat(order.LowestProvableBone ?? []).Any(bound => bound is null || !double.IsFinite(bound.LevelDbHl)))
        {
            return "A lowest provable level of the order is no number.";
        }

        return order.Request switch
        {
            null => "The order says nothing to do.",
            CheckKitStep => null,
            MeasureRoomStep room => room.DurationSeconds is >= 1 and <= 60 ? null : "A room is measured for 1 to 60 s.",
            ProveSidesStep sides =>
                sides.TrialCount is < 4 or > 12 ? "A side proof has 4 to 12 tones."
                : FrequencyFault(sides.FrequencyHz) ?? LevelFault(sides.LevelDbHl),
            PresentToneStep tone =>
                tone.DurationMs is < ShortestToneMs or > LongestToneMs ? $"A tone lasts {ShortestToneMs} to {LongestToneMs} ms."
                : FrequencyFault(tone.FrequencyHz) ?? LevelFault(tone.LevelDbHl) ?? EnumFault(tone.Ear) ?? EnumFault(tone.Shape) ?? EnumFault(tone.Route)
                    ?? (tone.MaskerDbEm is { } masker && !double.IsFinite(masker) ? "The level of the masker is no number." : null),
            SearchThresholdStep search => FrequencyFault(search.FrequencyHz) ?? EnumFault(search.Ear) ?? EnumFault(search.Rule) ?? EnumFault(search.Shape) ?? EnumFault(search.Route)
                ?? (search.Masked && search.Known is null ? "A masked search needs what was measured before." : KnownFault(search.Known)),
            SearchEarStep search =>
                search.FrequenciesHz is not { Count: > 0 and <= MostFrequencies } ? $"A search of an ear has 1 to {MostFrequencies} frequencies."
                : search.FrequenciesHz.Select(hertz => FrequencyFault(hertz)).FirstOrDefault(fault => fault is not null)
                    ?? EnumFault(search.Ear) ?? EnumFault(search.Rule) ?? EnumFault(search.Shape),
            MeasurePartStep part => PartFault(part),
            WearGearStep wear =>
                EnumFault(wear.Route) ?? (wear.Ear is { } ear ? EnumFault(ear) : null)
                    ?? ((wear.Route == ConductionRoute.Air) == (wear.Ear is null) ? null : "Gear for bone conduction is worn for one ear, earphones for both."),
            _ => "This kit does not know that step.",
        };
    }

    private static string? PartFault(MeasurePartStep step) =>
        step is not { Part: { } part, Protocol: { } protocol, Known: not null, Context: not null } ? "The order of a part lacks its protocol, what was measured before, or its context."
        : EnumFault(part.Ear) ?? EnumFault(part.Route) ?? KnownFault(step.Known) ?? ContextFault(step.Context)
            ?? (ProtocolRules.Faults(protocol) is [var fault, ..] ? $"The protocol of the order cannot be used: {fault.Sentence}" : null);

    private static string? KnownFault(IReadOnlyList<Measurement>? known) =>
        known?.Any(one => one is not { Outcome: not null, Tally: not null, Masking: null or { Points: not null } }) == true
            ? "A measurement in the order is empty or lacks its outcome."
            : null;

    private static string? ContextFault(PlanContext context) =>
        context.Overrides is null || context.Overrides.Any(change => change is null or PlanOverride.SkipPart { Part: null } or PlanOverride.SkipFrequency { Part: null } or PlanOverride.AddFrequency { Part: null } or PlanOverride.Repeat { Part: null } or PlanOverride.TakeUp { Part: null })
            ? "A decision about the plan in the order is empty or names no part."
            : EnumFault(context.Earphones) ?? (context.Sex is { } sex ? EnumFault(sex) : null);

    private static string? FrequencyFault(int hertz) => AudiometricFrequency.TryConventional(hertz, out _) ? null : $"{hertz} Hz is not an audiometric frequency.";

    private static string? LevelFault(double level) => double.IsFinite(level) ? null : "The level is no number.";

    private static string? EnumFault<T>(T value)
        where T : struct, Enum => Enum.IsDefined(value) ? null : $"{value} is not a {typeof(T).Name}.";
}
