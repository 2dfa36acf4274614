using System.Security.Cryptography;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Random nonces, drawn from the system's generator many at once: asking it takes longer than sealing a short record. Each is given once. Any thread.</summary>
/// <remarks>As with every generator that keeps a state in memory, a machine that is resumed twice from one picture of its memory gives the next ones twice. Such a picture is no backup of a hub.</remarks>
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
            // Kept once they are drawn: what the generator did not fill must never be given.
            RandomNumberGenerator.Fill(drawn = new byte[AtOnce * Bytes]);
            (_drawn, _given) = (drawn, 0);
        }

        drawn.AsSpan(_given++ * Bytes, Bytes).CopyTo(nonce);
    }
}
