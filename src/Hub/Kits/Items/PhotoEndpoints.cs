using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Kits.Items;

/// <summary>Photos of cases over HTTP: a link that carries pictures would hold up commands and stop. A person of the clinic or the kit itself hands one in as the plain body of a request, which no form of another site can send.</summary>
internal static class PhotoEndpoints
{
    /// <summary>Where a person of the clinic sees a photo.</summary>
    public static string Address(KitId kitId, string photo) => $"/api/kits/{Uri.EscapeDataString(kitId.Value)}/photos/{Uri.EscapeDataString(photo)}";

    public static void MapPhotos(this IEndpointRouteBuilder routes)
    {
        routes.MapPost("/api/kits/{id}/photos", (string id, HttpContext http, PhotoStore photos, KitFleet fleet, CancellationToken cancellationToken) => Take(new KitId(id), http, photos, fleet, cancellationToken));
        routes.MapGet("/api/kits/{id}/photos/{photo}", (string id, string photo, HttpContext http, PhotoStore photos, CancellationToken cancellationToken) => Show(new KitId(id), photo, http, photos, cancellationToken));

        // A kit hands in and reads its own only: which kit it is, its key says.
        routes.MapPost(KitCase.PhotoPath, (HttpContext http, PhotoStore photos, KitFleet fleet, CancellationToken cancellationToken) => Take(KitCaller.From(http.User).KitId, http, photos, fleet, cancellationToken));
        routes.MapGet(KitCase.PhotoPath + "/{photo}", (string photo, HttpContext http, PhotoStore photos, CancellationToken cancellationToken) => Show(KitCaller.From(http.User).KitId, photo, http, photos, cancellationToken));
    }

    private static async Task<IResult> Take(KitId kitId, HttpContext http, PhotoStore photos, KitFleet fleet, CancellationToken cancellationToken)
    {
        if (!await fleet.IsEntered(kitId, cancellationToken))
        {
            return Answer(new PhotoReply(null, Facts.KitRefusals.Unknown), StatusCodes.Status404NotFound);
        }

        var body = await LimitedBody.Read(http.Request.Body, PhotoStore.LargestBytes, cancellationToken);
        var reply = await photos.Keep(kitId, body, cancellationToken);
        return Answer(reply, reply.Refusal is null ? StatusCodes.Status200OK : StatusCodes.Status422UnprocessableEntity);
    }

    private static async Task<IResult> Show(KitId kitId, string photo, HttpContext http, PhotoStore photos, CancellationToken cancellationToken)
    {
        if (photos.Find(kitId, photo) is not { } kept || await photos.Read(kept, cancellationToken) is not { } content)
        {
            return Results.NotFound();
        }

        // Opened by itself, a picture is a page of this site: it may do nothing.
        http.Response.Headers.ContentSecurityPolicy = "default-src 'none'; sandbox; frame-ancestors 'none'";
        return Results.File(content, kept.MediaType);
    }

    private static IResult Answer(PhotoReply reply, int status) => Results.Json(reply, Protocol.Json, statusCode: status);
}
