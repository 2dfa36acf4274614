using System.Security.Cryptography;
using OtpNet;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Codes of an authenticator: RFC 6238 with HMAC-SHA-1, six digits and steps of 30 seconds, which every such program knows.</summary>
internal static class AuthenticatorCode
{
    /// <summary>Length of the shared secret, bytes: that of the hash, as RFC 4226, 4, R6 asks for.</summary>
    private const int SecretBytes = 20;

    private const int Digits = 6;
    private const int StepSeconds = 30;

    /// <summary>One step back and one ahead: the code was typed as it changed, or a clock is a little off (RFC 6238, 5.2).</summary>
    private static readonly VerificationWindow _window = new(previous: 1, future: 1);

    /// <summary>A secret nobody has yet, in Base32.</summary>
    public static string NewKey() => Base32Encoding.ToString(RandomNumberGenerator.GetBytes(SecretBytes));

    /// <summary>The step whose code this is.</summary>
    /// <param name="key">Secret in Base32.</param>
    /// <param name="code">Six digits; spaces do not matter.</param>
    /// <param name="now">The hub's time.</param>
    /// <returns>Null when it is the code of no step near now.</returns>
    public static long? Step(string key, string code, DateTimeOffset now)
    {
        var digits = code.Replace(" ", string.Empty, StringComparison.Ordinal);
        if (!LooksLikeOne(digits))
        {
            return null;
        }

        var generator = new Totp(Base32Encoding.ToBytes(key), StepSeconds, OtpHashMode.Sha1, Digits);
        return generator.VerifyTotp(now.UtcDateTime, digits, out var step, _window) ? step : null;
    }

    /// <summary>Whether a text has the form of a code.</summary>
    public static bool LooksLikeOne(string text) => text.Count(char.IsAsciiDigit) == Digits && text.All(letter => char.IsAsciiDigit(letter) || letter == ' ');

    /// <summary>What an authenticator reads from a QR code.</summary>
    /// <param name="key">Secret in Base32.</param>
    /// <param name="account">Name under which the authenticator lists it.</param>
    /// <remarks>Form of the URI: common practice among authenticators; there is no standard for it.</remarks>
    public static string Address(string key, string account) =>
        $"otpauth://totp/TeleHearing:{Uri.EscapeDataString(account)}?secret={key}&issuer=TeleHearing&algorithm=SHA1&digits={Digits}&period={StepSeconds}";
}
