using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

// Control is a lease with an epoch: exactly one person commands a session, every change of hands raises the epoch, and what was asked under an
// older one is refused by hub and kit. See docs/guides/control.md.

/// <summary>Take control of a session nobody controls. Raises the epoch; the first take moves Scheduled to Connecting.</summary>
public sealed record TakeControl : SessionCommand;

/// <summary>Give control up, so that another clinician may take it.</summary>
public sealed record ReleaseControl : SessionCommand;

/// <summary>Ask whoever is in control to hand it over.</summary>
/// <param name="Why">Why, in a line.</param>
public sealed record RequestControl(string Why) : SessionCommand;

/// <summary>Hand control to a colleague who asked for it.</summary>
/// <param name="ToPersonId">Account id of the colleague.</param>
public sealed record GrantControl(string ToPersonId) : SessionCommand;

/// <summary>Keep control although a colleague asked for it.</summary>
/// <param name="ToPersonId">Account id of the colleague.</param>
/// <param name="Why">Why, when there is something to say.</param>
public sealed record DeclineControl(string ToPersonId, string? Why) : SessionCommand;

/// <summary>Take control from whoever has it, at once. A step in hand is cut; the old holder is told the reason.</summary>
/// <param name="Reason">Why; always recorded.</param>
public sealed record TakeOverControl(string Reason) : SessionCommand;

/// <summary>Offer control to a named clinician, who has it once they accept.</summary>
/// <param name="ToPersonId">Account id of the clinician.</param>
/// <param name="Why">Why, e.g. "to supervise the masking".</param>
public sealed record OfferControl(string ToPersonId, string Why) : SessionCommand;

/// <summary>Accept control that was offered.</summary>
public sealed record AcceptControl : SessionCommand;

/// <summary>Turn an offer down, or take one's own offer back.</summary>
/// <param name="Why">Why, when there is something to say.</param>
public sealed record EndOffer(string? Why) : SessionCommand;

/// <summary>Lend control to an assistant for a bounded task. It ends by itself, when given back, or at once when taken back; it then falls to who lent it.</summary>
/// <param name="ToPersonId">Account id of the assistant.</param>
/// <param name="Tasks">What they may do, of <see cref="AssistantTasks.Lendable"/>; at least one. Silence (hold and cut) is theirs always.</param>
/// <param name="Minutes">For how long, 1 to <see cref="LongestMinutes"/>.</param>
public sealed record LendControl(string ToPersonId, IReadOnlyList<AssistantTask> Tasks, int Minutes) : SessionCommand
{
    /// <summary>Longest loan of control, minutes (design: a session's longest stage).</summary>
    public const int LongestMinutes = 60;

    /// <summary>Highest level of a lent side proof, dB HL: as loud as a kit plays without anything softer before it (its own ceilings).</summary>
    public const double HighestSideProofDbHl = 50;

    /// <summary>Level of the side proof, dB HL, 0 to <see cref="HighestSideProofDbHl"/>; needed when it is lent, absent otherwise. The assistant sets no level.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? SideProofDbHl { get; init; }
}

/// <summary>Give lent control back.</summary>
public sealed record GiveBackControl : SessionCommand;

/// <summary>Take back control that was lent, at once. A step in hand is cut.</summary>
public sealed record TakeBackControl : SessionCommand;

/// <summary>Whoever owns the next step has it in hand: the handoff is no longer open.</summary>
/// <param name="How">How an outside party acknowledged, e.g. "their office called back"; may be absent when the named person does it.</param>
public sealed record AcknowledgeHandoff(string? How) : SessionCommand;

/// <summary>Who owns the next step after a session.</summary>
/// <param name="PersonId">Account id of somebody who works with this hub; absent for a party outside.</param>
/// <param name="Name">Name, e.g. of a colleague or of an office.</param>
public sealed record HandoffOwner(string? PersonId, string Name);
