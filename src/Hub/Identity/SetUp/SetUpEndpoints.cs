using Microsoft.AspNetCore.DataProtection;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Hub.Identity.Proof;

namespace TeleHearing.Hub.Identity.SetUp;

/// <summary>Setting up an account by invitation. The code in the address is the only right needed, and is gone once the account is set up.</summary>
internal static class SetUpEndpoints
{
    public const string Path = "/set-up/{code}";

    public static void MapSetUp(this IEndpointRouteBuilder routes)
    {
        routes.MapGet(Path, async (string code, HttpContext http, AccountSetUp setUp, IDataProtectionProvider protection) =>
            await setUp.Look(code, http.RequestAborted) is { } invitee ? SetUpPages.Choose(http, code, invitee, AuthenticatorOffer.New(protection, code)) : SetUpPages.Spent());

        routes.MapPost(Path + "/passkey/question", async (string code, HttpContext http, AccountSetUp setUp) =>
        {
            var form = await http.Request.ReadFormAsync(http.RequestAborted);
            if (await setUp.Look(code, http.RequestAborted) is not { } invitee)
            {
                return Results.Text("This link no longer works.", statusCode: StatusCodes.Status410Gone);
            }

            var (question, fault) = await setUp.Question(invitee, Evidence.Text(form, "full-name"));
            return question is null ? Results.Text(fault, statusCode: StatusCodes.Status422UnprocessableEntity) : Results.Text(question, "application/json");
        }).OwnFormOnly();

        routes.MapPost(Path + "/passkey", async (string code, HttpContext http, AccountSetUp setUp, Entry entry, IDataProtectionProvider protection) =>
        {
            var form = await http.Request.ReadFormAsync(http.RequestAborted);
            var result = await setUp.WithPasskey(code, Evidence.Text(form, "credential"), Evidence.Text(form, "passkey-name"), http.RequestAborted);
            return result.Person is { } person ? await entry.Enter(person, PersonProof.ByPasskey) : await Again(code, http, setUp, protection, null, result.Fault);
        }).OwnFormOnly();

        routes.MapPost(Path + "/password", async (string code, HttpContext http, AccountSetUp setUp, Entry entry, IDataProtectionProvider protection) =>
        {
            var form = await http.Request.ReadFormAsync(http.RequestAborted);
            var choice = new PasswordChoice(Evidence.Text(form, "full-name"), Evidence.Text(form, "sign-in-name").Trim(), Evidence.Text(form, "password"), Evidence.Text(form, "sealed"), Evidence.Text(form, "code"));
            var result = await setUp.WithPassword(code, choice, http.RequestAborted);
            if (result.Person is not { } person)
            {
                return await Again(code, http, setUp, protection, choice, result.Fault);
            }

            return SetUpPages.Codes(result.Codes, await entry.MaySignIn(person, PersonProof.ByAuthenticator) ? "/" : "/sign-in");
        }).OwnFormOnly();
    }

    /// <summary>The page once more with what was wrong, and what was typed but for the secrets; the authenticator keeps the key it has read.</summary>
    private static async Task<IResult> Again(string code, HttpContext http, AccountSetUp setUp, IDataProtectionProvider protection, PasswordChoice? typed, string? fault) =>
        fault is not null && await setUp.Look(code, http.RequestAborted) is { } invitee
            ? SetUpPages.Choose(http, code, invitee, (typed is null ? null : AuthenticatorOffer.Read(protection, code, typed.Sealed)) ?? AuthenticatorOffer.New(protection, code), typed, fault)
            : SetUpPages.Spent();
}
