using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Kits;

/// <summary>Enrolment over HTTP, guarded by the one-time code in the request, and revocation.</summary>
internal static class KitEndpoints
{
    public static void MapKits(this IEndpointRouteBuilder routes)
    {
        routes.MapPost(Protocol.EnrolPath, async (EnrolRequest request, KitFleet kits, CancellationToken cancellationToken) =>
        {
            var reply = await kits.Enrol(request, cancellationToken);
            return Results.Json(reply, Protocol.Json, statusCode: reply.Refusal is null ? StatusCodes.Status200OK : StatusCodes.Status400BadRequest);
        });

        // Read by hand: a form that is bound asks for a token against forgery, which a kit has none of and needs none of.
        routes.MapPost(Protocol.KitTokenPath, async (HttpContext context, KitTokens tokens) =>
        {
            var form = context.Request.HasFormContentType ? await context.Request.ReadFormAsync(context.RequestAborted) : FormCollection.Empty;
            var answer = await tokens.Exchange(form["grant_type"], form["assertion"], context.RequestAborted);
            context.Response.Headers.CacheControl = "no-store";
            return answer.Reply is { } reply ? Results.Json(reply, Protocol.Json) : Results.Json(answer.Fault, Protocol.Json, statusCode: StatusCodes.Status400BadRequest);
        });

        routes.MapPost("/api/kits/{id}/enrolment-code", async (string id, KitFleet kits, HubSettings settings, TimeProvider time, CancellationToken cancellationToken) =>
        {
            var kitId = new KitId(id);
            return await kits.IsEntered(kitId, cancellationToken)
                ? Results.Json(new EnrolmentCodeReply(await kits.IssueEnrolmentCode(kitId, cancellationToken), time.GetUtcNow() + settings.EnrolmentCodeLife), Protocol.Json)
                : Results.NotFound();
        });

        routes.MapPost("/api/kits/{id}/revoke", async (string id, KitRevocation revocation, Broadcaster broadcaster, CancellationToken cancellationToken) =>
        {
            if (!await revocation.Revoke(new KitId(id), "The clinic revoked this kit.", cancellationToken))
            {
                return Results.NotFound();
            }

            broadcaster.KitChanged(new KitId(id));
            return Results.NoContent();
        });
    }
}
