using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>A kit asks for the name of its new connection.</summary>
internal sealed record ChallengeKit(string Nonce, Caller Caller, string ConnectionId) : IHubRequest<KitChallenge>, IValidated
{
    /// <summary>A nonce is 32 bytes, 43 characters; more than twice that is no nonce.</summary>
    private const int Longest = 100;

    public int? ProtocolVersion => null;

    public IReadOnlyList<string> Faults()
    {
        var faults = new Faults();
        faults.Need(Nonce is { Length: >= 22 and <= Longest } nonce && nonce.All(sign => char.IsAsciiLetterOrDigit(sign) || sign is '-' or '_'), "The kit's number for the connection is not 22 to 100 characters of base64url.");
        return faults.All;
    }

    // A name that fits nothing: the hello after it is refused with words.
    public KitChallenge Refused(Refusal refusal) => new(string.Empty);

    public string Trace() => "challenge of a kit";
}

internal sealed class ChallengeKitHandler(KitChallenges challenges) : IRequestHandler<ChallengeKit, KitChallenge>
{
    public Task<KitChallenge> Handle(ChallengeKit request, CancellationToken cancellationToken) => Task.FromResult(challenges.Give(request.ConnectionId, request.Nonce));
}
