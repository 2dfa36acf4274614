using System.Buffers.Text;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.AspNetCore.Identity;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Hub.Identity.Proof;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Identity.Own;

/// <summary>A signed-in person's own account.</summary>
internal static class AccountEndpoints
{
    public const string Path = "/account";

    public static void MapAccount(this IEndpointRouteBuilder routes)
    {
        routes.MapGet(Path, async (HttpContext http, OwnAccount own) => await own.Page(http));
        routes.MapPost(Path + "/confirm", Confirm).OwnFormOnly();
        routes.MapPost(Path + "/confirm/question", async (HttpContext http, OwnAccount own, PersonProof proof) =>
            Results.Text(await proof.Question((await own.Person(http)).Id), "application/json")).OwnFormOnly();
        routes.MapPost(Path + "/passkeys/question", async (HttpContext http, OwnAccount own, SignInManager<HubPerson> signIn) =>
            Results.Text(await AccountSetUp.Question(signIn, await own.Person(http)), "application/json")).OwnFormOnly();
        routes.MapPost(Path + "/passkeys", AddPasskey).OwnFormOnly();
        routes.MapPost(Path + "/passkeys/remove", RemovePasskey).OwnFormOnly();
        routes.MapPost(Path + "/password", ChangePassword).OwnFormOnly();
        routes.MapPost(Path + "/authenticator", SetPassword).OwnFormOnly();
        routes.MapPost(Path + "/recovery-codes", RenewCodes).OwnFormOnly();
        routes.MapPost(Path + "/sign-ins/end", EndOthers).OwnFormOnly();
    }

    private static async Task<IResult> Confirm(HttpContext http, OwnAccount own, PersonProof proof)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var result = await proof.Is((await own.Person(http)).Id, Evidence.From(form));
        if (result.Refusal is { } refusal)
        {
            return await own.Page(http, $"{refusal.Sentence} {refusal.Remedy}");
        }

        await own.Confirm(http);
        return Results.LocalRedirect(Path);
    }

    private static async Task<IResult> AddPasskey(HttpContext http, OwnAccount own, Credentials credentials, SignInManager<HubPerson> signIn)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var person = await own.Person(http);
        if (await AccountSetUp.Answer(signIn, Evidence.Text(form, "credential")) is not { } made || made.For.Id != person.Id)
        {
            return await own.Page(http, "This passkey was not accepted. Nothing has changed; try again.");
        }

        return await credentials.AddPasskey(person, made.Passkey, Evidence.Text(form, "passkey-name")) is { } fault
            ? await own.Page(http, fault)
            : await own.Page(http, done: "The passkey is kept. From now on you can sign in with it.");
    }

    private static async Task<IResult> RemovePasskey(HttpContext http, OwnAccount own, UserManager<HubPerson> people)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var person = await own.Person(http);
        var passkeys = await people.GetPasskeysAsync(person);
        var id = Evidence.Text(form, "id");
        if (passkeys.FirstOrDefault(passkey => string.Equals(Base64Url.EncodeToString(passkey.CredentialId), id, StringComparison.Ordinal)) is not { } found)
        {
            return await own.Page(http, "This passkey is not among yours any more. Nothing has changed.");
        }

        if (passkeys.Count == 1 && person.PasswordHash is null)
        {
            return await own.Page(http, "This is your only way to sign in. Add another passkey or set a password first.");
        }

        await own.ChangeWayIn(http, person, async () => Credentials.Words(await people.RemovePasskeyAsync(person, found.CredentialId)));
        return await own.Page(http, done: "The passkey is removed, and your sign-ins elsewhere have ended.");
    }

    private static async Task<IResult> ChangePassword(HttpContext http, OwnAccount own, Credentials credentials, PersonProof proof)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var person = await own.Person(http);
        if (person.PasswordHash is null)
        {
            return await own.Page(http, "You have no password yet. Set it together with an authenticator.");
        }

        if (await proof.Knows(person, Evidence.Text(form, "current-password")) is { } refusal)
        {
            return await own.Page(http, $"{refusal.Sentence} {refusal.Remedy}");
        }

        if (await own.ChangeWayIn(http, person, () => credentials.ChangePassword(person, Evidence.Text(form, "password"))) is { } fault)
        {
            return await own.Page(http, fault);
        }

        return await own.Page(http, done: "The password is changed, and your sign-ins elsewhere have ended.");
    }

    private static async Task<IResult> SetPassword(HttpContext http, OwnAccount own, Credentials credentials, HubContext context, IDataProtectionProvider protection, WrongTries tries, TimeProvider time)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var person = await own.Person(http);
        var name = Evidence.Text(form, "sign-in-name").Trim();
        if (AuthenticatorOffer.Read(protection, person.Id, Evidence.Text(form, "sealed")) is not { } offer)
        {
            return await own.Page(http, "The page was open for too long. Nothing has changed; here is a new picture for your authenticator.");
        }

        if (AuthenticatorCode.Step(offer.Key, Evidence.Text(form, "code"), time.GetUtcNow()) is not { } step)
        {
            return await own.Page(http, "The code is not the one your authenticator shows now. Nothing has changed. Look that the clock of that device is right, and type the next code.", offer: offer, signInName: name);
        }

        IReadOnlyList<string> codes = [];
        var fault = await own.ChangeWayIn(http, person, async () =>
        {
            await using var transaction = await context.Database.BeginTransactionAsync(http.RequestAborted);
            (var wrong, codes) = await credentials.SetPassword(person, name, Evidence.Text(form, "password"), offer.Key, http.RequestAborted);
            if (wrong is not null)
            {
                await transaction.RollbackAsync(http.RequestAborted);
                context.ChangeTracker.Clear();
                return wrong;
            }

            await transaction.CommitAsync(http.RequestAborted);
            await tries.ForgiveAll(person.Id);
            await tries.TakeStep(person.Id, step);
            return null;
        });
        return fault is null ? SetUpPages.Codes(codes, Path) : await own.Page(http, fault, offer: offer, signInName: name);
    }

    private static async Task<IResult> RenewCodes(HttpContext http, OwnAccount own, HubContext context)
    {
        var person = await own.Person(http);
        if (person.PasswordHash is null)
        {
            return await own.Page(http, "Recovery codes stand in for an authenticator. Set a password with an authenticator first.");
        }

        await using var transaction = await context.Database.BeginTransactionAsync(http.RequestAborted);
        var codes = await RecoveryCodes.Renew(context, person.Id, http.RequestAborted);
        await transaction.CommitAsync(http.RequestAborted);
        return SetUpPages.Codes(codes, Path);
    }

    private static async Task<IResult> EndOthers(HttpContext http, OwnAccount own)
    {
        await own.ChangeWayIn(http, await own.Person(http), () => Task.FromResult<string?>(null));
        return await own.Page(http, done: "Your sign-ins elsewhere have ended. You stay signed in here.");
    }
}
