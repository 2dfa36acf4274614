using TeleHearing.Audiology.PureTone.Protocols;
using TeleHearing.Contracts;
using TeleHearing.Hub.Sessions.Events;
using TeleHearing.Hub.Sessions.Start;

namespace TeleHearing.Hub.Sessions.Decisions;

/// <summary>Everything a decision takes from outside: the deciders themselves read no clock and draw no number.</summary>
/// <param name="Facts">Time and kit.</param>
/// <param name="HubRunningMs">Hub running time in ms, for order expiry.</param>
/// <param name="CommandLife">Longest time an order may be on its way.</param>
/// <param name="NextStepId">Id for a step, should one be ordered.</param>
/// <param name="Seed">Seed for a step, should one be ordered.</param>
internal sealed record DecisionContext(SessionFacts Facts, long HubRunningMs, TimeSpan CommandLife, StepId NextStepId, int Seed)
{
    /// <summary>Time that hubs on one database share; absent where there is one hub alone.</summary>
    public DateTimeOffset? SharedNow { get; init; }

    /// <summary>The protocol a command names, as the clinic keeps it.</summary>
    public TestProtocol? Protocol { get; init; }

    /// <summary>The person a command names, as the clinic knows them now; null when there is none.</summary>
    public NamedPerson? Named { get; init; }

    /// <summary>What a command would lend, or have an assistant do under a loan, without a sign-off in date.</summary>
    public IReadOnlyList<AssistantTask> NotSignedOff { get; init; } = [];

    /// <summary>Every version of the clinic's consent texts, while a command asks by them.</summary>
    public IReadOnlyList<ConsentText> ConsentTexts { get; init; } = [];

    /// <summary>What a start card rests on; read for the confirming of one alone.</summary>
    public CardFacts Card { get; init; } = CardFacts.Nothing;
}

/// <summary>Somebody who works with this hub.</summary>
internal sealed record NamedPerson(string Id, string Name, IReadOnlyList<string> Roles)
{
    public Actor Actor => new(Id, Name);
}
