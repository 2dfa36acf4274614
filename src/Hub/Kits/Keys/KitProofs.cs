using System.Buffers.Text;
using System.Text.Json;
using Microsoft.IdentityModel.JsonWebTokens;
using Microsoft.IdentityModel.Tokens;
using TeleHearing.Contracts;

namespace TeleHearing.Hub.Kits.Keys;

/// <summary>One request as a proof speaks of it.</summary>
/// <param name="Method">Its method.</param>
/// <param name="Scheme">"http" or "https", as it came here.</param>
/// <param name="Host">Host with port as the kit called it.</param>
/// <param name="Path">Its path.</param>
internal sealed record ProvenRequest(string Method, string Scheme, string Host, string Path);

/// <summary>Checks a proof of possession (RFC 9449 section 4.3) against its request, its token and the key the token is bound to. Any thread.</summary>
internal sealed class KitProofs(ISeenOnce seen, TimeProvider time)
{
    /// <summary>How old a proof may be, besides the tolerance for clocks.</summary>
    private static readonly TimeSpan _life = TimeSpan.FromSeconds(60);

    private static readonly JsonWebTokenHandler _reader = new() { SetDefaultTimesOnTokenCreation = false };

    /// <summary>Why the proof does not hold; nothing when it does. A proof that holds is used up by it.</summary>
    /// <param name="proof">The proof.</param>
    /// <param name="request">The request it came with.</param>
    /// <param name="token">The token it came with.</param>
    /// <param name="thumbprint">Thumbprint of the key the token is bound to.</param>
    public async Task<string?> Fault(string proof, ProvenRequest request, string token, string thumbprint)
    {
        if (KeyIn(proof) is not { HasPrivateKey: false, Kty: JsonWebAlgorithmsKeyTypes.EllipticCurve, Crv: JsonWebKeyECTypes.P256 } key
            || Base64Url.EncodeToString(key.ComputeJwkThumbprint()) != thumbprint)
        {
            return "The proof is made with another key than the token's.";
        }

        key.CryptoProviderFactory = new CryptoProviderFactory { CacheSignatureProviders = false };
        var validated = await _reader.ValidateTokenAsync(proof, new TokenValidationParameters
        {
            ValidTypes = [KitJws.Proof],
            ValidAlgorithms = [SecurityAlgorithms.EcdsaSha256],
            IssuerSigningKey = key,
            ValidateIssuer = false,
            ValidateAudience = false,
            ValidateLifetime = false,
            RequireExpirationTime = false,
        });
        if (!validated.IsValid || validated.SecurityToken is not JsonWebToken read)
        {
            return "The proof does not hold.";
        }

        return Says(read, "htm") != request.Method || !IsAddress(Says(read, "htu"), request) ? "The proof is for another request."
            : Says(read, "ath") != KitProof.HashOf(token) ? "The proof is for another token."
            : string.IsNullOrEmpty(read.Id) || read.IssuedAt <= DateTime.UnixEpoch ? "The proof has no number or no time."
            : KitClock.Fault(read.IssuedAt, _life, time.GetUtcNow()) is { } clock ? clock
            : !await seen.Take($"{thumbprint} {read.Id}", new DateTimeOffset(read.IssuedAt, TimeSpan.Zero) + _life + KitClock.Tolerance) ? "The proof was used before."
            : null;
    }

    // Where encryption ends in front of the hub, the kit called https and the hub sees http: that is accepted, the reverse is not.
    private static bool IsAddress(string? claimed, ProvenRequest request) =>
        Uri.TryCreate(claimed, UriKind.Absolute, out var address)
        && (address.Scheme == request.Scheme || address.Scheme == Uri.UriSchemeHttps)
        && (address.Authority == request.Host || $"{address.Host}:{address.Port}" == request.Host)
        && address.AbsolutePath == request.Path;

    private static string? Says(JsonWebToken token, string claim) => token.TryGetPayloadValue<string>(claim, out var value) ? value : null;

    private static JsonWebKey? KeyIn(string proof)
    {
        try
        {
            using var header = JsonDocument.Parse(Base64Url.DecodeFromChars(proof.Split('.')[0]));
            return header.RootElement.ValueKind == JsonValueKind.Object && header.RootElement.TryGetProperty("jwk", out var key) ? new JsonWebKey(key.GetRawText()) : null;
        }
        catch (Exception fault) when (fault is FormatException or JsonException or ArgumentException)
        {
            return null;
        }
    }
}
