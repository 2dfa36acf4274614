using Microsoft.AspNetCore.Identity;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.Confirmation;

namespace TeleHearing.Hub.Identity;

/// <summary>Signing in and out, and who one is.</summary>
internal static class IdentityEndpoints
{
    public static void MapIdentity(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/sign-in/{code}", async (string code, SignInLinks links, CancellationToken cancellationToken) =>
            await links.IsOpen(code, cancellationToken) ? SignInPages.Offer(code) : SignInPages.Spent());

        routes.MapPost("/sign-in/{code}", async (string code, SignInLinks links, UserManager<HubPerson> people, SignInManager<HubPerson> signIn, AuditTrail trail, CancellationToken cancellationToken) =>
        {
            var id = await links.Use(code, cancellationToken);
            var person = id is null ? null : await people.FindByIdAsync(id);
            if (person is null)
            {
                await trail.Act(AuditActs.SignInRefused, id, RefusalCodes.SignInLink);
                return SignInPages.Spent();
            }

            await trail.Act(AuditActs.SignedIn, person.Id);
            await signIn.SignInAsync(person, isPersistent: false);
            return Results.LocalRedirect("/");
        });

        routes.MapPost("/sign-out", async (HttpContext http, SignInManager<HubPerson> signIn, AuditTrail trail) =>
        {
            await trail.Act(AuditActs.SignedOut, PersonCaller.From(http.User).Id);
            await signIn.SignOutAsync();
            return SignInPages.SignedOut();
        });

        routes.MapGet("/api/me", async (HttpContext http, WhoAmI who, CancellationToken cancellationToken) =>
            Results.Json(await who.Read(PersonCaller.From(http.User), cancellationToken), Protocol.Json));
    }
}
