using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Something asked of the hub, with who asks. Its refusals are values of its own answer type.</summary>
internal interface IHubRequest<TResponse> : IRequest<TResponse>
{
    Caller Caller { get; }

    /// <summary>The door it goes through in the rights table; what depends on the session is decided there.</summary>
    string Door => Rights.Door.Request(GetType());

    /// <summary>What it is about, for the audit: "session 0196…", "kit kit-01". Ids only.</summary>
    IReadOnlyList<string> About => [];

    /// <summary>The answer that carries a refusal.</summary>
    TResponse Refused(Refusal refusal);

    /// <summary>What the log may know: kinds and ids, never content.</summary>
    string Trace();
}

/// <summary>A request with content that is checked before anything is done with it.</summary>
internal interface IValidated
{
    /// <summary>Protocol version spoken, when the request says one.</summary>
    int? ProtocolVersion { get; }

    /// <summary>Everything that is wrong with it, as sentences; empty when nothing is.</summary>
    IReadOnlyList<string> Faults();
}

/// <summary>A command of a person about a session.</summary>
internal interface IAboutSession
{
    CommandEnvelope Envelope { get; }
}

/// <summary>A command that is carried out at most once.</summary>
internal interface IOnce<TResponse>
{
    CommandId CommandId { get; }

    /// <summary>Hash of who asks for what; the same id with another fingerprint is another command.</summary>
    byte[] Fingerprint();

    /// <summary>The answer that carries the receipt of the first time.</summary>
    TResponse Answered(Receipt receipt);
}
