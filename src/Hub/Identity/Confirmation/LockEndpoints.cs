using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Identity.Confirmation;

/// <summary>The cover of a console that was left, and silence from under it.</summary>
internal static class LockEndpoints
{
    public static void MapLock(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/api/lock", async (LockReport report, HttpContext http, SignIns signIns, WhoAmI who, AuditTrail trail, CancellationToken cancellationToken) =>
        {
            var caller = PersonCaller.From(http.User);
            if (!report.Left)
            {
                signIns.Touch(caller.SignInId!);
            }
            else if (await signIns.Leave(caller.SignInId!, report.ByHand))
            {
                // First covered, then written: a failing disk must not leave it open.
                await trail.Act(AuditActs.ConsoleCovered, caller.Id);
            }

            return Results.Json(await who.Lock(caller, cancellationToken), Protocol.Json);
        });

        routes.MapPost("/api/silence", async (HttpContext http, OwnSessions sessions, CancellationToken cancellationToken) =>
            Results.Json(new SilenceReply(await sessions.Silence(PersonCaller.From(http.User), cancellationToken)), Protocol.Json)).WithMetadata(new ForSilence());
    }
}
