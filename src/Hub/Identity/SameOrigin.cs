using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;

namespace TeleHearing.Hub.Identity;

/// <summary>Refuses a changing request or a socket that another site's page started. Programs that are not browsers send no origin.</summary>
internal static class SameOrigin
{
    public static IApplicationBuilder UseSameOrigin(this IApplicationBuilder app) => app.Use((context, next) =>
    {
        var origin = context.Request.Headers.Origin.ToString();
        var harmless = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
        // The server's own mark of a socket is set only further down, inside the SignalR endpoints: here the path and the wish to upgrade tell.
        var socket = context.Request.Path.StartsWithSegments("/hubs") || context.Request.Headers.Upgrade.Count > 0;
        var guarded = !harmless || socket;
        return guarded && origin.Length > 0 && !IsOwn(origin, context.Request) ? Refuse(context) : next(context);
    });

    private static async Task Refuse(HttpContext context)
    {
        await context.RequestServices.GetRequiredService<AuditTrail>().Act(AuditActs.OtherSiteRefused, null, RefusalCodes.OtherSite);
        context.Response.StatusCode = StatusCodes.Status403Forbidden;
    }

    // A page that came in the clear is nobody's own where the hub is reached by HTTPS: somebody on the way could have written it.
    private static bool IsOwn(string origin, HttpRequest request) =>
        Uri.TryCreate(origin, UriKind.Absolute, out var uri)
        && string.Equals(uri.Authority, request.Host.Value, StringComparison.OrdinalIgnoreCase)
        && (!request.IsHttps || uri.Scheme == Uri.UriSchemeHttps);
}
