using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Pipeline;

/// <summary>Something asked of the hub, with who asks. Its refusals are values of its own answer type.</summary>
internal interface IHubRequest<TResponse> : IRequest<TResponse>
{
    Caller Caller { get; }

    /// <summary>Null when this caller may ask such a thing at all; what depends on the session is decided there.</summary>
    Refusal? MayAsk();

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

/// <summary>A command that is carried out at most once.</summary>
internal interface IOnce<TResponse>
{
    CommandId CommandId { get; }

    /// <summary>Hash of who asks for what; the same id with another fingerprint is another command.</summary>
    byte[] Fingerprint();

    /// <summary>The answer that carries the receipt of the first time.</summary>
    TResponse Answered(Receipt receipt);
}

/// <summary>Who may ask what.</summary>
internal static class Rights
{
    public static Refusal? AnyOf(Caller caller, params string[] roles) =>
        caller is PersonCaller person && person.Roles.Any(roles.Contains)
            ? null
            : new Refusal(RefusalCodes.RoleNotAllowed, "Your role does not allow this.", "Ask someone with the role: " + string.Join(" or ", roles) + ".");

    public static Refusal? KitOnly(Caller caller) =>
        caller is KitCaller ? null : new Refusal(RefusalCodes.RoleNotAllowed, "Only a kit may say this.");
}
