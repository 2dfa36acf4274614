using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Facts;

namespace TeleHearing.Hub.Fleet;

/// <summary>What a fleet command comes to: facts of the fleet and of kits, all of them or none, or a refusal.</summary>
/// <param name="Facts">Facts of the fleet.</param>
/// <param name="KitFacts">Facts of kits.</param>
/// <param name="Refusal">Why nothing is recorded.</param>
internal sealed record FleetDecision(IReadOnlyList<FleetFact> Facts, IReadOnlyList<(KitId KitId, IReadOnlyList<KitFact> Facts)> KitFacts, Refusal? Refusal)
{
    /// <summary>Planned sessions that go over to another kit.</summary>
    public IReadOnlyList<SessionMove> Moves { get; init; } = [];

    public static FleetDecision Of(params IReadOnlyList<FleetFact> facts) => new(facts, [], null);

    public static FleetDecision Refuse(string code, string sentence, string? remedy = null) => new([], [], new Refusal(code, sentence, remedy));

    public static FleetDecision Refuse(Refusal refusal) => new([], [], refusal);

    /// <summary>Adds what a kit says to it; its refusal is the whole decision's.</summary>
    public FleetDecision With(KitId kitId, KitDecision? kit) => kit switch
    {
        null => Refuse(KitRefusals.Unknown),
        { Refusal: { } refusal } => Refuse(refusal),
        _ => this with { KitFacts = [.. KitFacts, (kitId, kit.Facts)] },
    };
}

/// <summary>A planned session that goes over to another kit.</summary>
/// <param name="SessionId">Session.</param>
/// <param name="From">Kit it is planned with.</param>
/// <param name="To">Kit it is to be planned with.</param>
internal sealed record SessionMove(SessionId SessionId, KitId From, KitId To);
