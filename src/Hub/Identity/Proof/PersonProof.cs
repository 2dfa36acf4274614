using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Identity.Proof;

/// <summary>Proves who somebody is, by a passkey or by password and code. For signing in, and for confirming that the signed-in person still sits there.</summary>
/// <remarks>Whatever is wrong is answered alike, after the same work: whether an account exists, is closed or is locked is not told. Refusals stand in the audit, and the answer does not wait for it.
/// A question to a passkey is kept in a short-lived cookie of the same browser, so question and answer belong to one browser.</remarks>
internal sealed class PersonProof(UserManager<HubPerson> people, SignInManager<HubPerson> signIn, IPasswordHasher<HubPerson> hasher, WrongTries tries, RecoveryCodes recovery, PasswordWork work, AuditTrail trail, TimeProvider time)
{
    /// <summary>How a proof by passkey is named.</summary>
    public const string ByPasskey = "passkey";

    /// <summary>How a proof by password and a code of the authenticator is named.</summary>
    public const string ByAuthenticator = "password and authenticator";

    /// <summary>How a proof by password and a recovery code is named.</summary>
    public const string ByRecovery = "password and recovery code";

    private static readonly Refusal _wrong = new(
        RefusalCodes.NotProven,
        "That did not match. Nothing has happened.",
        $"Look at the name, the password and the code, wait for the next code, and try again. After {WrongTries.Most} wrong tries a name is not looked at for {WrongTries.Lock.TotalMinutes:0} minutes. When nothing helps, ask the owner of the clinic for a new link.");

    private static readonly Refusal _wrongPasskey = new(
        RefusalCodes.NotProven,
        "This passkey was not accepted. Nothing has happened.",
        "Try again, or sign in with password and code. When nothing helps, ask the owner of the clinic for a new link.");

    private static readonly Refusal _busy = new(
        RefusalCodes.Busy,
        "Too many people try to sign in at this moment, so this was not looked at. Nothing has happened.",
        "Wait a few seconds, then try again. A passkey works meanwhile.");

    private static readonly Refusal _unreadable = new(
        RefusalCodes.NotProven,
        "The hub can no longer read the key of your authenticator, so its codes cannot be checked. Nothing has happened.",
        "Type a recovery code in place of the code, or use a passkey, then set the authenticator anew on your account page. When you have neither, ask the owner of the clinic for a new link.");

    /// <summary>A question for a passkey, as JSON for the browser.</summary>
    /// <param name="personId">Whose passkeys are asked; absent: of whoever answers.</param>
    public async Task<string> Question(string? personId) =>
        await signIn.MakePasskeyRequestOptionsAsync(personId is null ? null : await people.FindByIdAsync(personId));

    /// <summary>Who signs in.</summary>
    /// <param name="signInName">The name typed; not needed with a passkey.</param>
    /// <param name="evidence">What was shown; absent when nothing was.</param>
    public Task<ProofResult> WhoIs(string signInName, Evidence? evidence) => evidence switch
    {
        PasskeyAnswer answer => Passkey(answer, expected: null),
        PasswordAndCode typed => NameAndPassword(signInName, typed),
        _ => Task.FromResult(Refused(null, _wrong)),
    };

    /// <summary>Whether it is this person.</summary>
    /// <param name="personId">The signed-in person.</param>
    /// <param name="evidence">What was shown; absent when nothing was.</param>
    public async Task<ProofResult> Is(string personId, Evidence? evidence) => evidence switch
    {
        PasskeyAnswer answer => await Passkey(answer, personId),
        PasswordAndCode typed => await Password(await people.FindByIdAsync(personId), typed, stranger: false),
        _ => Refused(personId, _wrong),
    };

    /// <summary>Whether the signed-in person knows their password. Wrong tries count with those at uncovering and confirming.</summary>
    /// <returns>Why not; null when they do.</returns>
    public async Task<Refusal?> Knows(HubPerson person, string password)
    {
        var (judged, locks) = await Judge(person, password, stranger: false);
        if (judged is PasswordVerificationResult.Success or PasswordVerificationResult.SuccessRehashNeeded)
        {
            await tries.Forgive(person.Id, stranger: false);
            return null;
        }

        if (locks)
        {
            trail.Later(AuditActs.Locked, person.Id);
        }

        return Refused(person.Id, _wrong).Refusal;
    }

    private async Task<ProofResult> NameAndPassword(string signInName, PasswordAndCode typed) =>
        await Password(string.IsNullOrWhiteSpace(signInName) || signInName.Length > SignInName.Longest ? null : await people.FindByNameAsync(signInName.Trim()), typed, stranger: true);

    private async Task<ProofResult> Passkey(PasskeyAnswer answer, string? expected)
    {
        PasskeyAssertionResult<HubPerson> result;
        try
        {
            result = await signIn.PerformPasskeyAssertionAsync(answer.Credential);
        }
        catch (InvalidOperationException)
        {
            // No question was asked of this browser, or too long ago.
            return Refused(expected, _wrongPasskey);
        }

        if (!result.Succeeded || result.User.ClosedTicks is not null || (expected is not null && result.User.Id != expected))
        {
            return Refused(expected ?? result.User?.Id, _wrongPasskey);
        }

        // Keeps the passkey's counter, by which a copy shows.
        return (await people.AddOrUpdatePasskeyAsync(result.User, result.Passkey)).Succeeded
            ? new ProofResult(result.User, ByPasskey, null)
            : Refused(result.User.Id, _wrongPasskey);
    }

    private async Task<ProofResult> Password(HubPerson? person, PasswordAndCode typed, bool stranger)
    {
        var (judged, locks) = await Judge(person, typed.Password, stranger);
        if (judged is not { } password)
        {
            return Refused(null, _busy);
        }

        var mayEnter = person is { ClosedTicks: null } && password != PasswordVerificationResult.Failed;
        var way = await Code(mayEnter ? person : null, typed.Code);
        if (!mayEnter || way is null)
        {
            if (locks)
            {
                trail.Later(AuditActs.Locked, person!.Id);
            }

            return Refused(person?.Id, mayEnter && person is { AuthenticatorKey: Seals.Unreadable } ? _unreadable : _wrong);
        }

        await tries.Forgive(person!.Id, stranger);
        if (password == PasswordVerificationResult.SuccessRehashNeeded)
        {
            person.PasswordHash = await work.Hash(person, typed.Password, hasher);
            await people.UpdateAsync(person);
        }

        return new ProofResult(person, way, null);
    }

    /// <summary>Judges a password. The place is taken first: what strangers try beyond the few that may wait costs no write.</summary>
    /// <returns>Null when too many wait; failed, too, while the account is locked. And whether this try locks it unless it is right.</returns>
    private async Task<(PasswordVerificationResult? Judged, bool Locks)> Judge(HubPerson? person, string password, bool stranger)
    {
        using var place = await work.Take(stranger);
        if (place is null)
        {
            return (null, false);
        }

        var (allowed, locks) = await tries.Take(person?.Id, stranger);
        var judged = work.Verify(person, password, hasher);
        return (allowed ? judged : PasswordVerificationResult.Failed, locks);
    }

    /// <summary>Uses a code up, and says which kind it was. Only once the password is right: otherwise whoever knows a name could use up its codes.</summary>
    private async Task<string?> Code(HubPerson? person, string code)
    {
        if (!AuthenticatorCode.LooksLikeOne(code))
        {
            return await recovery.Use(person?.Id ?? string.Empty, code) && person is not null ? ByRecovery : null;
        }

        return person?.AuthenticatorKey is { } key and not Seals.Unreadable && AuthenticatorCode.Step(key, code, time.GetUtcNow()) is { } step && await tries.TakeStep(person.Id, step) ? ByAuthenticator : null;
    }

    private ProofResult Refused(string? personId, Refusal refusal)
    {
        trail.Later(AuditActs.ProofRefused, personId, refusal.Code);
        return new ProofResult(null, null, refusal);
    }
}
