using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Confirmation;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Hub.Identity.Proof;

namespace TeleHearing.Hub.Identity;

/// <summary>Signing in and out, and who one is.</summary>
internal static class IdentityEndpoints
{
    public static void MapIdentity(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/sign-in", (HttpContext http) => SignInPages.SignIn(http));
        routes.MapPost("/sign-in", SignIn).OwnFormOnly();
        routes.MapPost("/sign-in/passkey", SignIn).OwnFormOnly();
        routes.MapPost("/sign-in/passkey/question", async (PersonProof proof) => Results.Text(await proof.Question(personId: null), "application/json")).OwnFormOnly();

        routes.MapGet("/sign-in/{code}", async (string code, HttpContext http, SignInLinks links) =>
            await links.IsOpen(code, http.RequestAborted) ? SignInPages.Offer(http, code) : SignInPages.Spent());

        routes.MapPost("/sign-in/{code}", async (string code, SignInLinks links, UserManager<HubPerson> people, Entry entry, AuditTrail trail, CancellationToken cancellationToken) =>
        {
            var id = await links.Use(code, cancellationToken);
            var person = id is null ? null : await people.FindByIdAsync(id);
            if (person is not { ClosedTicks: null })
            {
                await trail.Act(AuditActs.SignInRefused, id, RefusalCodes.SignInLink);
                return SignInPages.Spent();
            }

            return await entry.Enter(person, Entry.ByLink);
        }).OwnFormOnly();

        routes.MapPost("/sign-out", async (HttpContext http, SignInManager<HubPerson> signIn, AuditTrail trail) =>
        {
            await trail.Act(AuditActs.SignedOut, PersonCaller.From(http.User).Id);
            await signIn.SignOutAsync();
            return SignInPages.SignedOut();
        });

        routes.MapGet("/api/me", async (HttpContext http, WhoAmI who, CancellationToken cancellationToken) =>
            Results.Json(await who.Read(PersonCaller.From(http.User), cancellationToken), Protocol.Json));
    }

    private static async Task<IResult> SignIn(HttpContext http, PersonProof proof, Entry entry)
    {
        var form = await http.Request.ReadFormAsync(http.RequestAborted);
        var name = Evidence.Text(form, "name");
        var result = await proof.WhoIs(name, Evidence.From(form));
        return result is { Person: { } person, Way: { } way }
            ? await entry.Enter(person, way)
            : SignInPages.SignIn(http, name, $"{result.Refusal?.Sentence} {result.Refusal?.Remedy}");
    }
}
