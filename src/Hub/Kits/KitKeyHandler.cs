using System.Security.Claims;
using System.Security.Cryptography;
using System.Text.Encodings.Web;
using Microsoft.AspNetCore.Authentication;
using Microsoft.Extensions.Options;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits;

/// <summary>Lets a kit in by an assertion it signs with its own key (ES256): issuer and key id are the kit's number, the audience is this hub, the life is a minute at most.</summary>
internal sealed class KitKeyHandler : AuthenticationHandler<AuthenticationSchemeOptions>
{
    public const string SchemeName = "KitKey";

    public const string KitClaim = "telehearing:kit";

    /// <summary>The longest an assertion may be valid.</summary>
    public static readonly TimeSpan LongestLife = TimeSpan.FromSeconds(60);

    /// <summary>How far a kit's wall clock may be off. Timing of sound never uses it.</summary>
    public static readonly TimeSpan ClockTolerance = TimeSpan.FromMinutes(2);

    private readonly KitFleet _kits;

    public KitKeyHandler(IOptionsMonitor<AuthenticationSchemeOptions> options, ILoggerFactory logger, UrlEncoder encoder, KitFleet kits)
        : base(options, logger, encoder)
    {
        _kits = kits;
    }

    protected override async Task<AuthenticateResult> HandleAuthenticateAsync()
    {
        var token = ReadToken();
        if (token is null)
        {
            return AuthenticateResult.NoResult();
        }

        var handler = new JsonWebTokenHandler();
        if (!handler.CanReadToken(token))
        {
            return AuthenticateResult.Fail("The assertion cannot be read.");
        }

        var kitId = new KitId(handler.ReadJsonWebToken(token).Issuer);
        var key = await _kits.FindPublicKey(kitId, Context.RequestAborted);
        if (key is null)
        {
            return AuthenticateResult.Fail("The kit is not enrolled.");
        }

        using var ecdsa = ECDsa.Create();
        ecdsa.ImportFromPem(key);
        var validated = await handler.ValidateTokenAsync(token, new TokenValidationParameters
        {
            ValidIssuer = kitId.Value,
            ValidAudience = Protocol.KitAudience,
            ValidAlgorithms = [SecurityAlgorithms.EcdsaSha256],
            // A fresh factory: the shared one would keep the key alive after it is disposed.
            IssuerSigningKey = new ECDsaSecurityKey(ecdsa) { KeyId = kitId.Value, CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false } },
            LifetimeValidator = IsAlive,
        });
        if (!validated.IsValid)
        {
            return AuthenticateResult.Fail("The assertion does not hold.");
        }

        var identity = new ClaimsIdentity([new Claim(KitClaim, kitId.Value), new Claim(ClaimTypes.NameIdentifier, kitId.Value)], SchemeName);
        return AuthenticateResult.Success(new AuthenticationTicket(new ClaimsPrincipal(identity), SchemeName));
    }

    private bool IsAlive(DateTime? notBefore, DateTime? expires, SecurityToken token, TokenValidationParameters parameters)
    {
        var now = TimeProvider.GetUtcNow().UtcDateTime;
        return expires is { } end
            && end > now - ClockTolerance
            && end <= now + LongestLife + ClockTolerance
            && (notBefore is null || notBefore <= now + ClockTolerance);
    }

    private string? ReadToken()
    {
        const string Bearer = "Bearer ";
        var header = Request.Headers.Authorization.ToString();
        if (header.StartsWith(Bearer, StringComparison.OrdinalIgnoreCase))
        {
            return header[Bearer.Length..].Trim();
        }

        // A WebSocket carries the token in its address; request addresses are never logged (Hosting/HubLogging.cs).
        var query = Request.Query["access_token"].ToString();
        return query.Length > 0 && Request.Path.StartsWithSegments(Protocol.KitHubPath) ? query : null;
    }
}
