using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.SetUp;

/// <summary>Whom a link invites.</summary>
/// <param name="Person">The account; absent for the first owner of an empty hub.</param>
internal sealed record Invitee(HubPerson? Person);

/// <summary>What a person typed to set an account up with a password.</summary>
internal sealed record PasswordChoice(string FullName, string SignInName, string Password, string Sealed, string Code);

/// <summary>What setting up came to.</summary>
/// <param name="Person">The account that is set up; absent when something was wrong.</param>
/// <param name="Fault">What was wrong, in words; absent with it too when the link no longer works.</param>
/// <param name="Codes">Recovery codes, to be shown once.</param>
internal sealed record SetUpResult(HubPerson? Person, string? Fault, IReadOnlyList<string> Codes);

/// <summary>Completes an account by an invitation: all of it, the link used up included, or nothing.</summary>
internal sealed class AccountSetUp(
    HubContext context,
    Invitations invitations,
    Credentials credentials,
    UserManager<HubPerson> people,
    RoleManager<IdentityRole> roles,
    SignInManager<HubPerson> signIn,
    WrongTries tries,
    AuditTrail trail,
    IDataProtectionProvider protection,
    TimeProvider time)
{
    /// <summary>Longest name of a person, characters.</summary>
    public const int LongestName = 100;

    private static readonly string[] _firstRoles = [Roles.Owner, Roles.Clinician, Roles.Coordinator];

    private static readonly SetUpResult _spent = new(null, null, []);

    /// <summary>Whom a link invites; null when it no longer works.</summary>
    public async Task<Invitee?> Look(string code, CancellationToken cancellationToken)
    {
        var (open, personId) = await invitations.Look(code, cancellationToken);
        return !open ? null
            : personId is null ? (await context.Users.AnyAsync(cancellationToken) ? null : new Invitee(null))
            : await people.FindByIdAsync(personId) is { ClosedTicks: null } person ? new Invitee(person) : null;
    }

    /// <summary>The question for a new passkey, as JSON for the browser.</summary>
    public async Task<(string? Question, string? Fault)> Question(Invitee invitee, string fullName)
    {
        if (invitee.Person is null && NameFault(fullName) is { } fault)
        {
            return (null, fault);
        }

        return (await Question(signIn, invitee.Person ?? NewPerson(fullName)), null);
    }

    /// <summary>The question for a new passkey of an account.</summary>
    internal static Task<string> Question(SignInManager<HubPerson> signIn, HubPerson person) =>
        signIn.MakePasskeyCreationOptionsAsync(new PasskeyUserEntity { Id = person.Id, Name = person.PasswordHash is null ? person.DisplayName : person.UserName!, DisplayName = person.DisplayName });

    /// <summary>Reads what a new passkey answered.</summary>
    /// <returns>Null when it is not accepted.</returns>
    internal static async Task<(UserPasskeyInfo Passkey, PasskeyUserEntity For)?> Answer(SignInManager<HubPerson> signIn, string credential)
    {
        try
        {
            return await signIn.PerformPasskeyAttestationAsync(credential) is { Succeeded: true, Passkey: { } passkey, UserEntity: { } entity } ? (passkey, entity) : null;
        }
        catch (Exception fault) when (fault is InvalidOperationException or ArgumentException)
        {
            // No question was asked of this browser, or too long ago, or nothing was answered.
            return null;
        }
    }

    /// <summary>Sets up with a passkey.</summary>
    public async Task<SetUpResult> WithPasskey(string code, string credential, string passkeyName, CancellationToken cancellationToken)
    {
        if (await Look(code, cancellationToken) is not { } invitee)
        {
            return await Spent();
        }

        if (await Answer(signIn, credential) is not { } made || (invitee.Person is { } known && known.Id != made.For.Id))
        {
            return new SetUpResult(null, "This passkey was not accepted. Nothing has happened; try again, or choose a password.", []);
        }

        var person = invitee.Person ?? new HubPerson { Id = made.For.Id, UserName = Unnamed(), DisplayName = made.For.DisplayName };
        return await Complete(code, invitee, person, async () => (await credentials.AddPasskey(person, made.Passkey, passkeyName), []), cancellationToken);
    }

    /// <summary>Sets up with a password and an authenticator.</summary>
    public async Task<SetUpResult> WithPassword(string code, PasswordChoice choice, CancellationToken cancellationToken)
    {
        if (await Look(code, cancellationToken) is not { } invitee)
        {
            return await Spent();
        }

        var person = invitee.Person ?? NewPerson(choice.FullName);
        if ((invitee.Person is null ? NameFault(choice.FullName) : null) is { } nameFault)
        {
            return new SetUpResult(null, nameFault, []);
        }

        if (AuthenticatorOffer.Read(protection, code, choice.Sealed) is not { } offer)
        {
            return new SetUpResult(null, "The page was open for too long. Nothing has happened; here is a new picture for your authenticator.", []);
        }

        if (PasswordRule.Fault(choice.Password, person.DisplayName, choice.SignInName) is { } passwordFault)
        {
            return new SetUpResult(null, passwordFault, []);
        }

        if (AuthenticatorCode.Step(offer.Key, choice.Code, time.GetUtcNow()) is not { } step)
        {
            return new SetUpResult(null, "The code is not the one your authenticator shows now. Look that the clock of that device is right, and type the next code.", []);
        }

        var result = await Complete(code, invitee, person, () => credentials.SetPassword(person, choice.SignInName, choice.Password, offer.Key, cancellationToken), cancellationToken);
        if (result.Person is not null)
        {
            // The code that completed it is not taken a second time.
            await tries.ForgiveAll(person.Id);
            await tries.TakeStep(person.Id, step);
        }

        return result;
    }

    private async Task<SetUpResult> Complete(string code, Invitee invitee, HubPerson person, Func<Task<(string? Fault, IReadOnlyList<string> Codes)>> give, CancellationToken cancellationToken)
    {
        await using (var transaction = await context.Database.BeginTransactionAsync(cancellationToken))
        {
            await StoreTurn.Take(context, StoreTurn.People, cancellationToken);
            if (!await invitations.Use(context, code, cancellationToken) || (invitee.Person is null && await context.Users.AnyAsync(cancellationToken)))
            {
                await transaction.RollbackAsync(cancellationToken);
                return await Spent();
            }

            if (invitee.Person is null)
            {
                await PeopleAdmin.Enter(people, roles, person, _firstRoles);
            }
            else
            {
                await credentials.Forget(person, cancellationToken);
            }

            var (fault, codes) = await give();
            if (fault is null)
            {
                await trail.Within(context, AuditActs.SetUp, person.Id);
                await transaction.CommitAsync(cancellationToken);
                return new SetUpResult(person, null, codes);
            }

            await transaction.RollbackAsync(cancellationToken);
            context.ChangeTracker.Clear();
            return new SetUpResult(null, fault, []);
        }
    }

    private async Task<SetUpResult> Spent()
    {
        await trail.Act(AuditActs.SignInRefused, null, RefusalCodes.SignInLink);
        return _spent;
    }

    private static HubPerson NewPerson(string fullName) => new() { UserName = Unnamed(), DisplayName = fullName.Trim() };

    /// <summary>The account's name until one is chosen; nobody can type it, since it has no password.</summary>
    internal static string Unnamed() => Guid.CreateVersion7().ToString("N");

    internal static string? NameFault(string name) =>
        name.Trim() is { Length: > 0 and <= LongestName } text && !text.Any(char.IsControl) ? null : $"A name has 1 to {LongestName} characters.";
}
