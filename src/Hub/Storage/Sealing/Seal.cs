using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>AES-256-GCM (NIST SP 800-38D) over one record. The place of the record is bound as associated data, so that a sealed record moved to another place does not open.</summary>
internal static class Seal
{
    private const int TagBytes = 16;

    /// <summary>How every sealed text begins.</summary>
    private const string Mark = "s1.";

    /// <summary>How every sealed file begins; no picture begins so.</summary>
    private static readonly byte[] _fileMark = "TeleHearing s1\n"u8.ToArray();

    /// <summary>Whether a stored text is sealed.</summary>
    public static bool IsSealed(string stored) => stored.StartsWith(Mark, StringComparison.Ordinal);

    /// <summary>Whether the content of a file is sealed.</summary>
    public static bool IsSealed(ReadOnlySpan<byte> stored) => stored.StartsWith(_fileMark);

    /// <summary>A cipher for a key, 32 bytes. One thread at a time.</summary>
    public static AesGcm Cipher(byte[] key) => new(key, TagBytes);

    /// <summary>Seals a text.</summary>
    /// <param name="cipher">Cipher of the key.</param>
    /// <param name="place">Where it is stored: table and row.</param>
    /// <param name="text">The text.</param>
    public static string Text(AesGcm cipher, string place, string text) => Mark + Base64Url.EncodeToString(Bytes(cipher, place, Encoding.UTF8.GetBytes(text)));

    /// <summary>Opens a sealed text.</summary>
    /// <returns>Null when it is not sealed with this key for this place.</returns>
    public static string? OpenText(AesGcm cipher, string place, string stored)
    {
        if (!IsSealed(stored))
        {
            return null;
        }

        byte[] bytes;
        try
        {
            bytes = Base64Url.DecodeFromChars(stored.AsSpan(Mark.Length));
        }
        catch (FormatException)
        {
            // Changed from outside.
            return null;
        }

        return OpenBytes(cipher, place, bytes) is { } open ? Encoding.UTF8.GetString(open) : null;
    }

    /// <summary>Seals the content of a file.</summary>
    public static byte[] File(AesGcm cipher, string place, ReadOnlySpan<byte> content) => [.. _fileMark, .. Bytes(cipher, place, content)];

    /// <summary>Opens the content of a sealed file.</summary>
    /// <returns>Null when it is not sealed with this key for this place.</returns>
    public static byte[]? OpenFile(AesGcm cipher, string place, ReadOnlySpan<byte> stored) => IsSealed(stored) ? OpenBytes(cipher, place, stored[_fileMark.Length..]) : null;

    private static byte[] Bytes(AesGcm cipher, string place, ReadOnlySpan<byte> content)
    {
        var sealedBytes = new byte[Nonces.Bytes + content.Length + TagBytes];
        var nonce = sealedBytes.AsSpan(0, Nonces.Bytes);
        Nonces.Next(nonce);
        cipher.Encrypt(nonce, content, sealedBytes.AsSpan(Nonces.Bytes, content.Length), sealedBytes.AsSpan(Nonces.Bytes + content.Length), Encoding.UTF8.GetBytes(place));
        return sealedBytes;
    }

    private static byte[]? OpenBytes(AesGcm cipher, string place, ReadOnlySpan<byte> stored)
    {
        if (stored.Length < Nonces.Bytes + TagBytes)
        {
            return null;
        }

        var open = new byte[stored.Length - Nonces.Bytes - TagBytes];
        try
        {
            cipher.Decrypt(stored[..Nonces.Bytes], stored[Nonces.Bytes..^TagBytes], stored[^TagBytes..], open, Encoding.UTF8.GetBytes(place));
            return open;
        }
        catch (AuthenticationTagMismatchException)
        {
            // Another key, another place, or changed.
            return null;
        }
    }
}
