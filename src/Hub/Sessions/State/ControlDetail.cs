using System.Collections.Immutable;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;

namespace TeleHearing.Hub.Sessions.State;

/// <summary>Everything about control besides who has it and its epoch.</summary>
internal sealed record ControlDetail
{
    public static ControlDetail None { get; } = new();

    /// <summary>The loan under which the holder commands; absent when control is their own.</summary>
    public ControlLoan? Loan { get; init; }

    /// <summary>Who asks for it, oldest first.</summary>
    public ImmutableList<ControlAsk> Asks { get; init; } = [];

    /// <summary>Ids of those who asked and were told that control is kept, until they ask again or it changes hands.</summary>
    public ImmutableList<string> Declined { get; init; } = [];

    /// <summary>To whom it is offered.</summary>
    public ControlOffer? Offer { get; init; }

    /// <summary>The event by which control last changed hands.</summary>
    public SessionEvent? Change { get; init; }

    /// <summary>Who had control before that.</summary>
    public Actor? Before { get; init; }

    /// <summary>The clinician who led last; stays when control lapses.</summary>
    public string? Led { get; init; }

    /// <summary>Who led before, when that changed at this stage.</summary>
    public string? LedBefore { get; init; }
}

/// <summary>A loan of control.</summary>
/// <param name="By">Who lent it.</param>
/// <param name="Tasks">For what.</param>
/// <param name="Until">When it ends by itself.</param>
/// <param name="SideProofDbHl">Level of a lent side proof, dB HL; absent when none is lent.</param>
internal sealed record ControlLoan(Actor By, IReadOnlyList<AssistantTask> Tasks, DateTimeOffset Until, double? SideProofDbHl);

/// <summary>A colleague's wish for control.</summary>
internal sealed record ControlAsk(Actor By, string Why, DateTimeOffset At);

/// <summary>An offer of control.</summary>
internal sealed record ControlOffer(Actor To, string Why);
