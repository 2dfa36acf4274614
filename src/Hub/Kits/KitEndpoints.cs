using TeleHearing.Contracts;

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

        routes.MapPost("/api/kits/{id}/revoke", async (string id, KitRevocation revocation, CancellationToken cancellationToken) =>
            await revocation.Revoke(new KitId(id), "The clinic revoked this kit.", cancellationToken) ? Results.NoContent() : Results.NotFound());
    }
}
