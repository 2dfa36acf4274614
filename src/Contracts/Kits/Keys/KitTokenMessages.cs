using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json.Serialization;

namespace TeleHearing.Contracts;

/// <summary>What a kit signs to be given a token (RFC 7523 section 3). Times in seconds since 1970 (RFC 7519 section 2).</summary>
public sealed record KitAssertion(string Iss, string Sub, string Aud, long Iat, long Exp, string Jti)
{
    /// <summary>How long one assertion is good for; the hub takes 60 s at most.</summary>
    private const int LifeSeconds = 45;

    /// <summary>A fresh one.</summary>
    public static KitAssertion Of(KitId kitId, DateTimeOffset now) =>
        new(kitId.Value, kitId.Value, Protocol.KitAudience, now.ToUnixTimeSeconds(), now.ToUnixTimeSeconds() + LifeSeconds, Guid.NewGuid().ToString("N"));
}

/// <summary>Proof of one request with a token (RFC 9449 section 4.2).</summary>
/// <param name="Jti">Its own number; taken once.</param>
/// <param name="Htm">Method.</param>
/// <param name="Htu">Address without query and fragment.</param>
/// <param name="Iat">When it was made, seconds since 1970.</param>
/// <param name="Ath">SHA-256 of the token, base64url.</param>
public sealed record KitProof(string Jti, string Htm, string Htu, long Iat, string Ath)
{
    /// <summary>A fresh one.</summary>
    public static KitProof Of(string method, Uri address, string token, DateTimeOffset now)
    {
        ArgumentNullException.ThrowIfNull(address);
        return new(Guid.NewGuid().ToString("N"), method, AddressOf(address), now.ToUnixTimeSeconds(), HashOf(token));
    }

    /// <summary>What <see cref="Ath"/> holds of a token.</summary>
    public static string HashOf(string token) => Base64Url.EncodeToString(SHA256.HashData(Encoding.ASCII.GetBytes(token)));

    // A web socket is asked for over HTTP (RFC 6455 section 4.1), and the hub sees that request.
    private static string AddressOf(Uri address)
    {
        var plain = address.GetLeftPart(UriPartial.Path);
        return plain.StartsWith("ws", StringComparison.Ordinal) ? "http" + plain[2..] : plain;
    }
}

/// <summary>A token as the hub answers it (RFC 6749 section 5.1).</summary>
/// <param name="AccessToken">The token; opaque to the kit.</param>
/// <param name="TokenType">"DPoP": it opens nothing without a proof of the kit's key (RFC 9449 section 5).</param>
/// <param name="ExpiresIn">Seconds it serves.</param>
public sealed record KitTokenReply(
    [property: JsonPropertyName("access_token")] string AccessToken,
    [property: JsonPropertyName("token_type")] string TokenType,
    [property: JsonPropertyName("expires_in")] int ExpiresIn);

/// <summary>Why there is none (RFC 6749 section 5.2).</summary>
/// <param name="Error">"invalid_grant", "invalid_request" or "unsupported_grant_type".</param>
/// <param name="Sentence">In words, for whoever looks at the kit.</param>
/// <param name="Code">Code of the refusal.</param>
public sealed record KitTokenFault(
    [property: JsonPropertyName("error")] string Error,
    [property: JsonPropertyName("error_description")] string Sentence,
    string Code);
