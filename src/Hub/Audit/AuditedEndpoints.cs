using Microsoft.AspNetCore.Authorization.Policy;
using Microsoft.AspNetCore.Authorization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Pages;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Audit;

/// <summary>Leaves the trail of addresses: refusals as they are answered, and before anything is shown whose row wants it.</summary>
internal sealed class AuditedEndpoints(AuditTrail trail, EntryGuard guard) : IAuthorizationMiddlewareResultHandler
{
    private readonly AuthorizationMiddlewareResultHandler _usual = new();

    public async Task HandleAsync(RequestDelegate next, HttpContext context, AuthorizationPolicy policy, PolicyAuthorizationResult authorizeResult)
    {
        var endpoint = context.GetEndpoint() as RouteEndpoint;
        if (endpoint is not null && authorizeResult.Succeeded)
        {
            await guard.Fresh(CallerOf.Principal(context.User), Door.Http(endpoint)[0]);
        }

        var refusal = endpoint is not null && authorizeResult.Succeeded && CallerOf.Principal(context.User) is { } caller ? guard.Refusal(caller, Door.Http(endpoint)[0]) : null;
        if (endpoint is not null && !await Recorded(endpoint, context, authorizeResult.Succeeded, refusal))
        {
            await Results.Problem("The hub could not record this, so it was not done and nothing is shown. Ask the owner to look at the hub's disk, then ask again.", statusCode: StatusCodes.Status503ServiceUnavailable).ExecuteAsync(context);
            return;
        }

        if (refusal is not null)
        {
            await Told(context, refusal).ExecuteAsync(context);
            return;
        }

        await _usual.HandleAsync(next, context, policy, authorizeResult);
    }

    /// <summary>Programs read the refusal, people a page.</summary>
    private static IResult Told(HttpContext context, Refusal refusal) => context.Request.Headers.Accept.ToString().Contains("text/html", StringComparison.Ordinal)
        ? SignInPages.NotNow(refusal)
        : Results.Json(refusal, Protocol.Json, statusCode: StatusCodes.Status403Forbidden);

    private async Task<bool> Recorded(RouteEndpoint endpoint, HttpContext context, bool allowed, Refusal? refusal)
    {
        var (caller, door, about) = (CallerOf.Principal(context.User), Door.Http(endpoint)[0], About(endpoint, context.Request.RouteValues));
        try
        {
            await (allowed && refusal is null
                ? trail.Before(caller, door, about)
                : trail.After(caller, door, about, refusal?.Code ?? (caller is null ? RefusalCodes.NotSignedIn : RefusalCodes.RoleNotAllowed)));
            return true;
        }
        catch (DbUpdateException)
        {
            return false;
        }
    }

    /// <summary>Ids in the address and nothing else of it: an address may hold a sign-in code.</summary>
    private static IReadOnlyList<string> About(RouteEndpoint endpoint, RouteValueDictionary values)
    {
        var route = endpoint.RoutePattern.RawText ?? string.Empty;
        return values.TryGetValue("id", out var id) && id is not null
            ? [route.Contains("/sessions/", StringComparison.Ordinal) ? $"session {id}" : route.Contains("/loan/", StringComparison.Ordinal) ? $"loan {id}" : $"kit {id}"]
            : [];
    }
}
