using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Identity;

/// <summary>A person who signs in: with a passkey, or with a password and a code of an authenticator.</summary>
public sealed class HubPerson : IdentityUser, ISealedRow
{
    private readonly SealedText _name = new();
    private readonly SealedText _authenticatorKey = new();

    /// <summary>Name as shown to others. Stored sealed: a query cannot compare it, whoever looks for a name reads the accounts.</summary>
    public required string DisplayName { get; set; }

    /// <summary>The name as it is stored.</summary>
    internal string? SealedName { get; set; }

    /// <summary>Secret shared with the authenticator, in Base32 (RFC 4648); absent without a password.</summary>
    public string? AuthenticatorKey { get; set; }

    /// <summary>That secret as it is stored.</summary>
    internal string? SealedAuthenticatorKey { get; set; }

    /// <summary>When the account was closed, UTC ticks; absent while it is open.</summary>
    public long? ClosedTicks { get; set; }

    private string Place => "accounts/" + Id;

    private string KeyPlace => Place + "/authenticator";

    void ISealedRow.Seal(Seals seals)
    {
        SealedName = _name.Close(seals, Seals.Clinic, Place, DisplayName, SealedName);
        SealedAuthenticatorKey = _authenticatorKey.Close(seals, Seals.Clinic, KeyPlace, AuthenticatorKey, SealedAuthenticatorKey);
    }

    void ISealedRow.Open(Seals seals)
    {
        DisplayName = _name.Open(seals, Seals.Clinic, Place, SealedName) ?? Seals.Unreadable;
        AuthenticatorKey = _authenticatorKey.Open(seals, Seals.Clinic, KeyPlace, SealedAuthenticatorKey);
    }
}
