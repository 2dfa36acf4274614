using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;

namespace TeleHearing.Hub.Identity;

/// <summary>Refuses a changing request or a socket that another site's page started. Programs that are not browsers send no origin.</summary>
internal static class SameOrigin
{
    public static IApplicationBuilder UseSameOrigin(this IApplicationBuilder app) => app.Use(async (context, next) =>
    {
        var origin = context.Request.Headers.Origin.ToString();
        var harmless = HttpMethods.IsGet(context.Request.Method) || HttpMethods.IsHead(context.Request.Method);
        // The server's own mark of a socket is set only further down, inside the SignalR endpoints: here the path and the wish to upgrade tell.
        var socket = context.Request.Path.StartsWithSegments("/hubs") || context.Request.Headers.Upgrade.Count > 0;
        var guarded = !harmless || socket;
        if (guarded && origin.Length > 0 && !IsOwn(origin, context.Request))
        {
            await context.RequestServices.GetRequiredService<AuditTrail>().Act(AuditActs.OtherSiteRefused, null, RefusalCodes.OtherSite);
            context.Response.StatusCode = StatusCodes.Status403Forbidden;
            return;
        }

        await next(context);
    });

    // A page that came in the clear is nobody's own where the hub is reached by HTTPS: somebody on the way could have written it.
    private static bool IsOwn(string origin, HttpRequest request) =>
        Uri.TryCreate(origin, UriKind.Absolute, out var uri)
        && string.Equals(uri.Authority, request.Host.Value, StringComparison.OrdinalIgnoreCase)
        && (!request.IsHttps || uri.Scheme == Uri.UriSchemeHttps);
}
