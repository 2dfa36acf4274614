using System.Security.Cryptography;
using Microsoft.AspNetCore.DataProtection;
using TeleHearing.Hub.Kits.Items;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>A secret offered to an authenticator. It goes out and comes back sealed in a form, and is kept only once a code shows that the authenticator has it.</summary>
/// <param name="Key">Secret in Base32, to be typed where no picture can be read.</param>
/// <param name="Sealed">The same, sealed by the hub.</param>
internal sealed record AuthenticatorOffer(string Key, string Sealed)
{
    /// <summary>How long a page may stay open.</summary>
    private static readonly TimeSpan _life = TimeSpan.FromHours(1);

    /// <summary>Offers a new secret.</summary>
    /// <param name="protection">The hub's keys.</param>
    /// <param name="whose">Who may bring it back: an account, or an invitation.</param>
    public static AuthenticatorOffer New(IDataProtectionProvider protection, string whose)
    {
        var key = AuthenticatorCode.NewKey();
        return new AuthenticatorOffer(key, Protector(protection, whose).Protect(key, _life));
    }

    /// <summary>Offers a secret again that a form brought back.</summary>
    /// <returns>Null when it is not the hub's, another's, or too old.</returns>
    public static AuthenticatorOffer? Read(IDataProtectionProvider protection, string whose, string @sealed)
    {
        try
        {
            return new AuthenticatorOffer(Protector(protection, whose).Unprotect(@sealed), @sealed);
        }
        catch (CryptographicException)
        {
            return null;
        }
    }

    /// <summary>The QR code that an authenticator reads.</summary>
    public string Picture(string account) => QrDrawing.Svg(AuthenticatorCode.Address(Key, account), "QR code for your authenticator; the key below it says the same");

    private static ITimeLimitedDataProtector Protector(IDataProtectionProvider protection, string whose) =>
        protection.CreateProtector("TeleHearing.Authenticator", whose).ToTimeLimitedDataProtector();
}
