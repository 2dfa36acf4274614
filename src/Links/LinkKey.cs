using System.Buffers.Text;
using System.Security.Cryptography;

namespace TeleHearing.Links;

/// <summary>The key of one connection: made by whoever opens it, told in its address, forgotten with it. What is sealed with it fits no other connection.</summary>
/// <remarks>It finds faults of the way. Whoever can read the way can read it too: that is what TLS is for, and what the signatures of orders and reports are for.</remarks>
public static class LinkKey
{
    /// <summary>Name in the query of the connection's address.</summary>
    public const string QueryName = "seal";

    /// <summary>Length, bytes: that of a SHA-256 value (RFC 2104 section 3).</summary>
    public const int Bytes = 32;

    /// <summary>A fresh key.</summary>
    public static byte[] Make() => RandomNumberGenerator.GetBytes(Bytes);

    /// <summary>An address with a key in it, in the place of one that was there.</summary>
    public static Uri Put(Uri address, ReadOnlySpan<byte> key)
    {
        ArgumentNullException.ThrowIfNull(address);
        var rest = address.Query.TrimStart('?').Split('&', StringSplitOptions.RemoveEmptyEntries).Where(part => !part.StartsWith($"{QueryName}=", StringComparison.Ordinal));
        return new UriBuilder(address) { Query = string.Join('&', [.. rest, $"{QueryName}={Base64Url.EncodeToString(key)}"]) }.Uri;
    }

    /// <summary>The key as it stands in an address.</summary>
    /// <returns>Nothing when the text is no key.</returns>
    public static byte[]? Read(string? text)
    {
        try
        {
            return text is not null && Base64Url.DecodeFromChars(text) is { Length: Bytes } key ? key : null;
        }
        catch (FormatException)
        {
            return null;
        }
    }
}
