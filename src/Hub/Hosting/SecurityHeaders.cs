namespace TeleHearing.Hub.Hosting;

/// <summary>Headers that keep browsers from framing the console, guessing types, and keeping what is about people.</summary>
internal static class SecurityHeaders
{
    public static IApplicationBuilder UseSecurityHeaders(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        var headers = context.Response.Headers;
        headers.ContentSecurityPolicy = "frame-ancestors 'none'; base-uri 'self'; form-action 'self'; object-src 'none'";
        headers.XContentTypeOptions = "nosniff";
        headers["Referrer-Policy"] = "no-referrer";
        if (context.Request.Path.StartsWithSegments("/api") || context.Request.Path.StartsWithSegments("/sign-in"))
        {
            headers.CacheControl = "no-store";
        }

        return next(context);
    });
}
