using System.Buffers.Text;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;

namespace TeleHearing.Contracts;

/// <summary>Name of a P-256 key that follows from the key itself: its JWK thumbprint with SHA-256 (RFC 7638).</summary>
public static class KitThumbprint
{
    /// <summary>The thumbprint of the public half, base64url: 43 characters.</summary>
    /// <param name="key">A P-256 key.</param>
    public static string Of(ECDsa key)
    {
        var (x, y) = Point(key);

        // RFC 7638 section 3.2: the required members alone, in the order of their names, without white space.
        var canonical = string.Create(CultureInfo.InvariantCulture, $$"""{"crv":"P-256","kty":"EC","x":"{{x}}","y":"{{y}}"}""");
        return Base64Url.EncodeToString(SHA256.HashData(Encoding.UTF8.GetBytes(canonical)));
    }

    /// <summary>The thumbprint of a public key in PEM form.</summary>
    /// <exception cref="ArgumentException">It is no key in PEM form.</exception>
    /// <exception cref="CryptographicException">It cannot be read.</exception>
    public static string OfPem(string publicKeyPem)
    {
        using var key = ECDsa.Create();
        key.ImportFromPem(publicKeyPem);
        return Of(key);
    }

    /// <summary>The public point as a JWK writes it (RFC 7518 section 6.2.1), base64url.</summary>
    internal static (string X, string Y) Point(ECDsa key)
    {
        ArgumentNullException.ThrowIfNull(key);
        var point = key.ExportParameters(includePrivateParameters: false).Q;
        return (Base64Url.EncodeToString(point.X), Base64Url.EncodeToString(point.Y));
    }
}
