using System.Security.Cryptography;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Random nonces, drawn from the system's generator many at once: asking it takes longer than sealing a short record. Each is given once. Any thread.</summary>
internal static class Nonces
{
    /// <summary>Bytes of a nonce (NIST SP 800-38D, 8.2.2: 96 random bits, at most 2^32 records under a key).</summary>
    public const int Bytes = 12;

    /// <summary>Nonces drawn at once (design).</summary>
    private const int AtOnce = 64;

    [ThreadStatic]
    private static byte[]? _drawn;

    [ThreadStatic]
    private static int _given;

    /// <summary>Writes the next one.</summary>
    public static void Next(Span<byte> nonce)
    {
        if (_drawn is not { } drawn || _given == AtOnce)
        {
            RandomNumberGenerator.Fill(drawn = _drawn ??= new byte[AtOnce * Bytes]);
            _given = 0;
        }

        drawn.AsSpan(_given++ * Bytes, Bytes).CopyTo(nonce);
    }
}
