using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace TeleHearing.Hub.Identity;

/// <summary>A random code of 256 bits that is handed out once and kept as a hash only.</summary>
internal static class SecretCode
{
    /// <summary>Makes a code that can stand in an address.</summary>
    public static string New() => Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(32));

    /// <summary>The form it is kept in. The code is random and long, so a plain hash cannot be guessed back.</summary>
    public static byte[] Hash(string code) => SHA256.HashData(Encoding.UTF8.GetBytes(code));
}
