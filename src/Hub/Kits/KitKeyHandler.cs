using System.Security.Claims;
using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Authentication;
using Microsoft.Extensions.Options;
using TeleHearing.Contracts;
using TeleHearing.Hub.Kits.Keys;

namespace TeleHearing.Hub.Kits;

/// <summary>Lets a kit in by a token of this hub together with a proof, for this one request, that it holds the key the token is bound to (RFC 9449 section 7). The token alone opens nothing.</summary>
internal sealed class KitKeyHandler : AuthenticationHandler<AuthenticationSchemeOptions>
{
    public const string SchemeName = "KitKey";

    public const string KitClaim = "telehearing:kit";

    private readonly KitFleet _kits;
    private readonly KitTokens _tokens;
    private readonly KitProofs _proofs;

    public KitKeyHandler(IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, KitFleet kits, KitTokens tokens, KitProofs proofs)
        : base(options, logger, encoder)
    {
        _kits = kits;
        _tokens = tokens;
        _proofs = proofs;
    }

    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        var header = Request.Headers.Authorization.ToString();
        if (!header.StartsWith(Protocol.ProofScheme + " ", StringComparison.OrdinalIgnoreCase))
        {
            // A token that comes as a bearer's is nobody's: it was bound to a key.
            return AuthenticateResult.NoResult();
        }

        var token = header[Protocol.ProofScheme.Length..].Trim();
        if (_tokens.Open(token) is not { } access)
        {
            return AuthenticateResult.Fail("The token does not hold, or is over.");
        }

        if (Request.Headers[Protocol.ProofScheme] is not [{ Length: > 0 } proof])
        {
            return AuthenticateResult.Fail("The token comes without one proof.");
        }

        var request = new ProvenRequest(Request.Method, Request.Scheme, Request.Host.Value ?? string.Empty, Request.PathBase + Request.Path);
        if (await _proofs.Fault(proof, request, token, access.Cnf.Jkt) is { } fault)
        {
            return AuthenticateResult.Fail(fault);
        }

        // The key may have been taken away since the token was given, or another taken in its place.
        var kitId = new KitId(access.Sub);
        if (await _kits.FindPublicKey(kitId, Context.RequestAborted) is not { } key || KitThumbprint.OfPem(key) != access.Cnf.Jkt)
        {
            return AuthenticateResult.Fail("The key of this kit serves no longer.");
        }

        var identity = new ClaimsIdentity([new Claim(KitClaim, kitId.Value), new Claim(ClaimTypes.NameIdentifier, kitId.Value)], SchemeName);
        return AuthenticateResult.Success(new AuthenticationTicket(new ClaimsPrincipal(identity), SchemeName));
    }
}
