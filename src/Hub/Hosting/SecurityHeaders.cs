namespace TeleHearing.Hub.Hosting;

/// <summary>Headers that keep browsers from framing the console, guessing types, and keeping what is about people.</summary>
internal static class SecurityHeaders
{
    private static readonly PathString[] _withoutCamera = ["/api", "/hubs", "/papers", "/sign-in", "/sign-out", "/health"];

    public static IApplicationBuilder UseSecurityHeaders(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        var headers = context.Response.Headers;
        headers.ContentSecurityPolicy = "frame-ancestors 'none'; base-uri 'self'; form-action 'self'; object-src 'none'";
        headers.XContentTypeOptions = "nosniff";
        headers["Permissions-Policy"] = IsConsole(context.Request.Path) ? "camera=(self), microphone=(), geolocation=()" : "camera=(), microphone=(), geolocation=()";

        // Not "no-referrer": a browser would then post the sign-in form with the origin "null", which is refused as another site's.
        headers["Referrer-Policy"] = "same-origin";
        if (context.Request.Path.StartsWithSegments("/api") || context.Request.Path.StartsWithSegments("/sign-in"))
        {
            headers.CacheControl = "no-store";
        }

        return next(context);
    });

    /// <summary>The console reads labels with the camera; whatever else the hub serves has no use for one.</summary>
    private static bool IsConsole(PathString path) => !_withoutCamera.Any(part => path.StartsWithSegments(part));
}
