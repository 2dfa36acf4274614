using TeleHearing.Contracts;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Site.Agent.Screen.Case;

/// <summary>Photos between the page, which has the camera, and the hub, which keeps them. They pass through and stay nowhere on the kit.</summary>
internal static class CaseEndpoints
{
    /// <summary>Where the page hands in a photo, and reads the one of the packed case.</summary>
    public const string PhotoPath = "/case/photo";

    private const int LargestBytes = 8 * 1024 * 1024;

    public static void MapCase(this WebApplication app)
    {
        app.MapPost(PhotoPath, Take).DisableAntiforgery();
        app.MapGet(PhotoPath, Show);
    }

    private static async Task<IResult> Take(HttpContext context, CaseLink link, CancellationToken cancellationToken)
    {
        // As with stop: a page of another site hands in nothing.
        if (context.Request.Headers["Sec-Fetch-Site"].ToString() is "cross-site" or "same-site")
        {
            return Results.StatusCode(StatusCodes.Status403Forbidden);
        }

        var body = await LimitedBody.Read(context.Request.Body, LargestBytes, cancellationToken);
        return body.Length > LargestBytes
            ? Results.Json(new PhotoReply(null, new Refusal(RefusalCodes.Invalid, "The photo is too large.", null)), Protocol.Json)
            : Results.Json(await link.Send(body, cancellationToken), Protocol.Json);
    }

    private static async Task<IResult> Show(CaseLink link, CaseDesk desk, CancellationToken cancellationToken) =>
        desk.Now.Case?.Packed?.Photo is { } photo && await link.ReadPhoto(photo, cancellationToken) is { } picture
            ? Results.Bytes(picture.Bytes, picture.MediaType)
            : Results.NotFound();
}
