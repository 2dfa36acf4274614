using System.Security.Cryptography;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>A token of this hub, bound to a kit's key (RFC 9068 and RFC 9449 section 6). Times in seconds since 1970.</summary>
internal sealed record KitAccess(string Sub, string Aud, long Iat, long Exp, string Jti, KeyConfirmation Cnf);

/// <summary>The key a token is bound to (RFC 7800), by its thumbprint (RFC 9449 section 6.1).</summary>
internal sealed record KeyConfirmation(string Jkt);

/// <summary>What is answered to an assertion: a token, or why there is none.</summary>
internal sealed record KitTokenAnswer(KitTokenReply? Reply, KitTokenFault? Fault);

/// <summary>Exchanges what a kit signed with its key for a token of ten minutes (RFC 7523). Any thread.</summary>
internal sealed class KitTokens(KitFleet kits, HubKey hubKey, ISeenOnce seen, TimeProvider time)
{
    /// <summary>How long a token serves (design). It opens nothing without a proof of the kit's key.</summary>
    public static readonly TimeSpan Life = TimeSpan.FromMinutes(10);

    /// <summary>The longest an assertion may be valid.</summary>
    public static readonly TimeSpan LongestAssertion = TimeSpan.FromSeconds(60);

    private static readonly JsonWebTokenHandler _reader = new() { SetDefaultTimesOnTokenCreation = false };

    /// <summary>Exchanges an assertion.</summary>
    public async Task<KitTokenAnswer> Exchange(string? grant, string? assertion, CancellationToken cancellationToken)
    {
        if (grant != Protocol.KitGrantType)
        {
            return Refused("unsupported_grant_type", RefusalCodes.Invalid, $"A kit's token is given for an assertion ({Protocol.KitGrantType}) alone.");
        }

        if (assertion is null || Read(assertion) is not { } read || read.Issuer != read.Subject)
        {
            return Refused("invalid_request", RefusalCodes.Invalid, "The assertion cannot be read. Update the site agent.");
        }

        var kitId = new KitId(read.Issuer);
        if (await kits.FindPublicKey(kitId, cancellationToken) is not { } pem)
        {
            return Refused("invalid_grant", RefusalCodes.KitRevoked, "This kit's key does not serve, or serves no longer. Please call your clinic: the kit has to be enrolled with a new code.");
        }

        using var key = ECDsa.Create();
        key.ImportFromPem(pem);
        var thumbprint = KitThumbprint.Of(key);
        var now = time.GetUtcNow();
        return !await Holds(assertion, read, kitId, key, thumbprint)
            ? Refused("invalid_grant", RefusalCodes.KitNotProven, "The assertion is not signed with this kit's key, or is not for this hub. Enrol the kit anew.")
            : read.ValidTo - read.IssuedAt > LongestAssertion || read.ValidTo <= read.IssuedAt
            ? Refused("invalid_grant", RefusalCodes.Invalid, "The assertion is valid for longer than 60 s. Update the site agent.")
            : KitClock.Fault(read.IssuedAt, read.ValidTo - read.IssuedAt, now) is { } fault
            ? Refused("invalid_grant", RefusalCodes.KitClock, fault)
            : !await seen.Take($"{thumbprint} {read.Id}", new DateTimeOffset(read.ValidTo, TimeSpan.Zero) + KitClock.Tolerance)
            ? Refused("invalid_grant", RefusalCodes.Duplicate, "The assertion was used before. Sign a new one.")
            : new KitTokenAnswer(new KitTokenReply(Issue(kitId, thumbprint, now), Protocol.ProofScheme, (int)Life.TotalSeconds), null);
    }

    /// <summary>What a token of this hub says; nothing when it is not one, or is over.</summary>
    public KitAccess? Open(string? token) =>
        hubKey.Open<KitAccess>(KitJws.Token, token) is { Cnf.Jkt: not null, Aud: Protocol.KitAudience } access && access.Exp > time.GetUtcNow().ToUnixTimeSeconds() ? access : null;

    private string Issue(KitId kitId, string thumbprint, DateTimeOffset now) => hubKey.Sign(
        KitJws.Token,
        new KitAccess(kitId.Value, Protocol.KitAudience, now.ToUnixTimeSeconds(), (now + Life).ToUnixTimeSeconds(), Guid.NewGuid().ToString("N"), new KeyConfirmation(thumbprint)));

    private static async Task<bool> Holds(string assertion, JsonWebToken read, KitId kitId, ECDsa key, string thumbprint)
    {
        var validated = await _reader.ValidateTokenAsync(assertion, new TokenValidationParameters
        {
            ValidIssuer = kitId.Value,
            ValidAudience = Protocol.KitAudience,
            ValidAlgorithms = [SecurityAlgorithms.EcdsaSha256],
            // A fresh factory: the shared one would keep the key alive after it is disposed.
            IssuerSigningKey = new ECDsaSecurityKey(key) { KeyId = thumbprint, CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false } },
            RequireExpirationTime = true,
            // Judged by the caller, which has the words for a clock that is off.
            LifetimeValidator = (_, _, _, _) => true,
        });
        return validated.IsValid && read.Kid == thumbprint && !string.IsNullOrEmpty(read.Id) && read.IssuedAt > DateTime.UnixEpoch;
    }

    private static JsonWebToken? Read(string text)
    {
        try
        {
            return _reader.CanReadToken(text) ? _reader.ReadJsonWebToken(text) : null;
        }
        catch (Exception fault) when (fault is SecurityTokenException or ArgumentException or System.Text.Json.JsonException)
        {
            return null;
        }
    }

    private static KitTokenAnswer Refused(string error, string code, string sentence) => new(null, new KitTokenFault(error, sentence, code));
}
