using Microsoft.Extensions.FileProviders;

namespace TeleHearing.Hub.Hosting;

/// <summary>Headers that tell browsers what the hub's pages may load, who may frame or open them, and what is not to be kept.</summary>
internal static class SecurityHeaders
{
    private static readonly PathString[] _withoutCamera = ["/api", "/hubs", "/papers", "/sign-in", "/sign-out", "/set-up", "/account", "/health", "/status"];

    /// <summary>A year, the usual least (OWASP ASVS 5.0, 3.4.1).</summary>
    private const string StayOnHttps = "max-age=31536000";

    public static IApplicationBuilder UseSecurityHeaders(this WebApplication app, HubSettings settings)
    {
        var https = settings.OverHttps();
        var scripts = new Lazy<IReadOnlyList<string>>(() => ConsoleScripts(app.Environment.WebRootFileProvider));
        Policy? last = null;
        return app.Use((context, next) =>
        {
            if (settings.BehindTlsProxy)
            {
                // The proxy speaks HTTPS to browsers; addresses made here must begin like theirs.
                context.Request.Scheme = Uri.UriSchemeHttps;
            }

            var headers = context.Response.Headers;
            headers.ContentSecurityPolicy = PolicyOf(context.Request).Text;
            headers.XContentTypeOptions = "nosniff";
            headers["Permissions-Policy"] = IsConsole(context.Request.Path) ? "camera=(self), microphone=(), geolocation=()" : "camera=(), microphone=(), geolocation=()";
            headers["Cross-Origin-Opener-Policy"] = "same-origin";
            headers["Cross-Origin-Resource-Policy"] = "same-origin";

            // Not "no-referrer": a browser would then post the sign-in form with the origin "null", which is refused as another site's.
            headers["Referrer-Policy"] = "same-origin";
            if (https)
            {
                headers.StrictTransportSecurity = StayOnHttps;
            }

            if (context.Request.Path.StartsWithSegments("/api") || context.Request.Path.StartsWithSegments("/sign-in") || context.Request.Path.StartsWithSegments("/account") || context.Request.Path.StartsWithSegments("/status"))
            {
                headers.CacheControl = "no-store";
            }

            return next(context);
        });

        // A hub is reached under one name by nearly everybody, and a socket keeps the headers it was answered with for as long as it lives.
        Policy PolicyOf(HttpRequest request)
        {
            var (host, secure, made) = (request.Host.Value ?? string.Empty, request.IsHttps, last);
            return made is not null && made.Host == host && made.Secure == secure ? made : last = new Policy(host, secure, ContentPolicy.Console(host, secure, scripts.Value));
        }
    }

    /// <summary>The console reads labels with the camera; whatever else the hub serves has no use for one.</summary>
    private static bool IsConsole(PathString path) => !_withoutCamera.Any(part => path.StartsWithSegments(part));

    private static IReadOnlyList<string> ConsoleScripts(IFileProvider files)
    {
        var page = files.GetFileInfo("index.html");
        if (!page.Exists)
        {
            return [];
        }

        using var text = new StreamReader(page.CreateReadStream());
        return ContentPolicy.InlineScripts(text.ReadToEnd());
    }

    private sealed record Policy(string Host, bool Secure, string Text);
}
