using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Gives accounts passkeys, passwords and codes, and takes them away. What was wrong is answered in words; the caller holds the transaction where there is more to do.</summary>
internal sealed class Credentials(HubContext context, UserManager<HubPerson> people, IPasswordHasher<HubPerson> hasher, PasswordWork work)
{
    /// <summary>Longest name of a passkey, characters.</summary>
    public const int LongestPasskeyName = 60;

    /// <summary>Most passkeys of a person.</summary>
    public const int MostPasskeys = 20;

    /// <summary>Keeps a passkey.</summary>
    /// <returns>What was wrong; null when it is kept.</returns>
    public async Task<string?> AddPasskey(HubPerson person, UserPasskeyInfo passkey, string name)
    {
        passkey.Name = string.IsNullOrWhiteSpace(name) ? "Passkey" : name.Trim() is { Length: > LongestPasskeyName } text ? text[..LongestPasskeyName] : name.Trim();
        return (await people.GetPasskeysAsync(person)).Count >= MostPasskeys
            ? $"There are {MostPasskeys} passkeys already. Remove one you no longer use first."
            : Words(await people.AddOrUpdatePasskeyAsync(person, passkey));
    }

    /// <summary>Sets sign-in name, password and authenticator, which belong together, and makes recovery codes.</summary>
    public async Task<(string? Fault, IReadOnlyList<string> Codes)> SetPassword(HubPerson person, string signInName, string password, string authenticatorKey, CancellationToken cancellationToken)
    {
        if (SignInName.Fault(signInName) is { } fault)
        {
            return (fault, []);
        }

        if (!string.Equals(person.UserName, signInName, StringComparison.Ordinal))
        {
            if (await people.FindByNameAsync(signInName) is { } other && other.Id != person.Id)
            {
                return ("Somebody has this sign-in name already. Choose another.", []);
            }

            person.UserName = signInName;
        }

        person.AuthenticatorKey = authenticatorKey;
        return await ChangePassword(person, password) is { } wrong ? (wrong, []) : (null, await RecoveryCodes.Renew(context, person.Id, cancellationToken));
    }

    /// <summary>Changes the password alone; other sign-ins end.</summary>
    /// <returns>What was wrong; null when it is changed.</returns>
    public async Task<string?> ChangePassword(HubPerson person, string password)
    {
        if (PasswordRule.Fault(password, person.DisplayName, person.UserName) is { } fault)
        {
            return fault;
        }

        person.PasswordHash = await work.Hash(person, password, hasher);

        // Saves the rest of the account with it.
        return Words(await people.UpdateSecurityStampAsync(person));
    }

    /// <summary>Takes everything away by which a person can prove who they are; their sign-ins end.</summary>
    public async Task Forget(HubPerson person, CancellationToken cancellationToken)
    {
        foreach (var passkey in await people.GetPasskeysAsync(person))
        {
            Require(await people.RemovePasskeyAsync(person, passkey.CredentialId));
        }

        (person.PasswordHash, person.AuthenticatorKey) = (null, null);
        await RecoveryCodes.Remove(context, person.Id, cancellationToken);
        Require(await people.UpdateSecurityStampAsync(person));
    }

    /// <summary>What the library says was wrong.</summary>
    /// <returns>Null when nothing was.</returns>
    internal static string? Words(IdentityResult result) => result.Succeeded ? null : string.Join(" ", result.Errors.Select(error => error.Description));

    internal static void Require(IdentityResult result)
    {
        if (Words(result) is { } fault)
        {
            throw new InvalidOperationException("The account could not be changed: " + fault);
        }
    }
}
