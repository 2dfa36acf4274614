using Microsoft.AspNetCore.DataProtection;
using TeleHearing.Site.Agent.Screen.Case;

namespace TeleHearing.Site.Agent.Screen;

/// <summary>Serves the kit screen on loopback.</summary>
internal static class KitScreenHosting
{
    /// <summary>Where stop is posted: a plain request, so that it works before the page is alive and when its connection is gone.</summary>
    public const string StopPath = "/stop";

    /// <summary>Where "I no longer agree" is posted, as stop is.</summary>
    public const string TakeBackPath = "/take-back";

    /// <summary>Where the page asks whether the program is there. The answer is <see cref="ProgramId"/>.</summary>
    public const string AlivePath = "/alive";

    /// <summary>Names this run of the program, so that a page left over from an earlier run knows that it cannot go on.</summary>
    public static string ProgramId { get; } = Guid.CreateVersion7().ToString("N");

    public static void AddKitScreen(this IServiceCollection services)
    {
        // what the page protects lives no longer than the program
        services.AddDataProtection().UseEphemeralDataProtectionProvider();
        services.AddRazorComponents().AddInteractiveServerComponents();
    }

    public static void MapKitScreen(this WebApplication app)
    {
        app.Use(async (context, next) =>
        {
            context.Response.Headers.ContentSecurityPolicy = "default-src 'self'; img-src 'self' data:; frame-ancestors 'none'; base-uri 'self'; form-action 'self'";
            context.Response.Headers.XContentTypeOptions = "nosniff";
            context.Response.Headers["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=()";
            context.Response.Headers.CacheControl = "no-store";
            await next();
        });
        app.UseAntiforgery();
        app.MapStaticAssets();
        app.MapPost(StopPath, (HttpContext context, KitActions actions) => Take(context, actions.Stop));
        app.MapPost(TakeBackPath, (HttpContext context, KitActions actions) => Take(context, actions.TakeConsentBack));
        app.MapGet(AlivePath, () => ProgramId);
        app.MapCase();
        app.MapRazorComponents<App>().AddInteractiveServerRenderMode();
    }

    private static IResult Take(HttpContext context, Action press)
    {
        // a page of another site may not stop a test; browsers say where a request comes from
        if (context.Request.Headers["Sec-Fetch-Site"].ToString() is "cross-site" or "same-site")
        {
            return Results.StatusCode(StatusCodes.Status403Forbidden);
        }

        press();
        return context.Request.Headers.Accept.ToString().Contains("text/html", StringComparison.Ordinal) ? Results.LocalRedirect("/") : Results.NoContent();
    }
}
