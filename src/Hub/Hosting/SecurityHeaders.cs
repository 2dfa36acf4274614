namespace TeleHearing.Hub.Hosting;

/// <summary>Headers that keep browsers from framing the console, guessing types, and keeping what is about people.</summary>
internal static class SecurityHeaders
{
    public static IApplicationBuilder UseSecurityHeaders(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        var headers = context.Response.Headers;
        headers.ContentSecurityPolicy = "frame-ancestors 'none'; base-uri 'self'; form-action 'self'; object-src 'none'";
        headers.XContentTypeOptions = "nosniff";

        // Not "no-referrer": a browser would then post the sign-in form with the origin "null", which is refused as another site's.
        headers["Referrer-Policy"] = "same-origin";
        if (context.Request.Path.StartsWithSegments("/api") || context.Request.Path.StartsWithSegments("/sign-in"))
        {
            headers.CacheControl = "no-store";
        }

        return next(context);
    });
}
