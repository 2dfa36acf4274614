using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;
using System.Text.Json;

namespace TeleHearing.Contracts;

/// <summary>Signed messages between hub and kit: JWS in compact form (RFC 7515 section 7.1) with ES256 (RFC 7518 section 3.4). The type in the header keeps a message of one kind from passing for another.</summary>
public static class KitJws
{
    /// <summary>A kit's first word on a connection.</summary>
    public const string Hello = "telehearing-hello+jws";

    /// <summary>The hub's proof in its answer to it.</summary>
    public const string Welcome = "telehearing-welcome+jws";

    /// <summary>An order to a kit.</summary>
    public const string Order = "telehearing-order+jws";

    /// <summary>Reports of a kit.</summary>
    public const string Reports = "telehearing-reports+jws";

    /// <summary>A kit's word that nothing of a session is left on it.</summary>
    public const string Wipe = "telehearing-wipe+jws";

    /// <summary>A hub's access token (RFC 9068 section 2.1).</summary>
    public const string Token = "at+jwt";

    /// <summary>A proof of possession of one request (RFC 9449 section 4.2).</summary>
    public const string Proof = "dpop+jwt";

    /// <summary>An assertion for a token (RFC 7523).</summary>
    public const string Assertion = "JWT";

    /// <summary>A signature of ES256: two numbers of 32 bytes.</summary>
    private const int SignatureBytes = 64;

    /// <summary>Signs a message.</summary>
    /// <param name="key">P-256 key; not used by two threads at a time.</param>
    /// <param name="type">Kind of message.</param>
    /// <param name="message">What is signed, written as JSON.</param>
    /// <param name="wholeKey">Whether the public key itself stands in the header, as in a proof; otherwise its thumbprint does.</param>
    public static string Sign<T>(ECDsa key, string type, T message, bool wholeKey = false)
    {
        ArgumentNullException.ThrowIfNull(key);
        return Sign(key, wholeKey ? null : KitThumbprint.Of(key), type, message);
    }

    /// <summary>Signs a message with a key whose thumbprint is known: to work it out takes as long as the signature.</summary>
    /// <param name="key">P-256 key; not used by two threads at a time.</param>
    /// <param name="thumbprint">Its thumbprint, which stands in the header; when absent, the public key itself does.</param>
    /// <param name="type">Kind of message.</param>
    /// <param name="message">What is signed, written as JSON.</param>
    public static string Sign<T>(ECDsa key, string? thumbprint, string type, T message)
    {
        ArgumentNullException.ThrowIfNull(key);
        var text = $"{Base64Url.EncodeToString(Header(key, type, thumbprint))}.{Base64Url.EncodeToString(JsonSerializer.SerializeToUtf8Bytes(message, Protocol.Json))}";
        return $"{text}.{Base64Url.EncodeToString(key.SignData(Encoding.ASCII.GetBytes(text), HashAlgorithmName.SHA256, DSASignatureFormat.IeeeP1363FixedFieldConcatenation))}";
    }

    /// <summary>The message, when it is of this kind and signed with this key; otherwise nothing.</summary>
    public static T? Open<T>(ECDsa key, string type, string? compact)
        where T : class
    {
        try
        {
            return OpenBytes(key, type, compact) is { } payload ? JsonSerializer.Deserialize<T>(payload, Protocol.Json) : null;
        }
        catch (JsonException)
        {
            // Signed, but no message of this kind: the same to the caller as one that is not signed.
            return null;
        }
    }

    /// <summary>The bytes that were signed; nothing when the form, the kind or the signature does not hold.</summary>
    /// <param name="key">Key of the one who should have signed.</param>
    /// <param name="type">Kind of message; absent when any will do.</param>
    /// <param name="compact">The message as it came.</param>
    public static byte[]? OpenBytes(ECDsa key, string? type, string? compact)
    {
        ArgumentNullException.ThrowIfNull(key);
        if (compact?.Split('.') is not [var header, var payload, var signature] || !Fits(header, type))
        {
            return null;
        }

        try
        {
            return Base64Url.DecodeFromChars(signature) is { Length: SignatureBytes } bytes
                && key.VerifyData(Encoding.ASCII.GetBytes($"{header}.{payload}"), bytes, HashAlgorithmName.SHA256, DSASignatureFormat.IeeeP1363FixedFieldConcatenation)
                    ? Base64Url.DecodeFromChars(payload)
                    : null;
        }
        catch (FormatException)
        {
            return null;
        }
    }

    private static bool Fits(string encoded, string? type)
    {
        try
        {
            using var header = JsonDocument.Parse(Base64Url.DecodeFromChars(encoded));

            // The algorithm is never chosen by the message, and what must be understood ("crit") is not.
            return header.RootElement is { ValueKind: JsonValueKind.Object } root
                && Says(root, "alg", "ES256") && (type is null || Says(root, "typ", type)) && !root.TryGetProperty("crit", out _);
        }
        catch (Exception fault) when (fault is FormatException or JsonException)
        {
            return false;
        }
    }

    private static bool Says(JsonElement header, string name, string value) =>
        header.TryGetProperty(name, out var found) && found.ValueKind == JsonValueKind.String && found.ValueEquals(value);

    private static byte[] Header(ECDsa key, string type, string? thumbprint)
    {
        using var bytes = new MemoryStream();
        using (var writer = new Utf8JsonWriter(bytes))
        {
            writer.WriteStartObject();
            writer.WriteString("typ", type);
            writer.WriteString("alg", "ES256");
            if (thumbprint is null)
            {
                var (x, y) = KitThumbprint.Point(key);
                writer.WriteStartObject("jwk");
                writer.WriteString("kty", "EC");
                writer.WriteString("crv", "P-256");
                writer.WriteString("x", x);
                writer.WriteString("y", y);
                writer.WriteEndObject();
            }
            else
            {
                writer.WriteString("kid", thumbprint);
            }

            writer.WriteEndObject();
        }

        return bytes.ToArray();
    }
}
