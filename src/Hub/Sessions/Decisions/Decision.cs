using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>What a kit has to be told once the events are durable.</summary>
internal abstract record KitEffect;

/// <summary>Carry out this step.</summary>
internal sealed record CarryStep(StepOrder Order) : KitEffect;

/// <summary>End this step now.</summary>
internal sealed record EndStep(StepId StepId) : KitEffect;

/// <summary>What an ask or a report comes to: events with their effects, or a refusal. Never both.</summary>
internal abstract record Decision
{
    public static Decision Of(params SessionEvent[] events) => new Decided(events, [], null);

    public static Decision Refuse(string code, string sentence, string? remedy = null) => new Refused(new Refusal(code, sentence, remedy));
}

/// <summary>It happens.</summary>
/// <param name="Events">What to append; may be empty when there is nothing to say.</param>
/// <param name="Effects">What to tell the kit after that.</param>
/// <param name="StepId">The step ordered.</param>
internal sealed record Decided(IReadOnlyList<SessionEvent> Events, IReadOnlyList<KitEffect> Effects, StepId? StepId) : Decision;

/// <summary>It does not happen.</summary>
internal sealed record Refused(Refusal Refusal) : Decision;
