using Microsoft.AspNetCore.Authorization.Policy;
using Microsoft.AspNetCore.Authorization;
using Microsoft.EntityFrameworkCore;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Rights;

namespace TeleHearing.Hub.Audit;

/// <summary>Leaves the trail of addresses: refusals as they are answered, and before anything is shown whose row wants it.</summary>
internal sealed class AuditedEndpoints(AuditTrail trail) : IAuthorizationMiddlewareResultHandler
{
    private readonly AuthorizationMiddlewareResultHandler _usual = new();

    public async Task HandleAsync(RequestDelegate next, HttpContext context, AuthorizationPolicy policy, PolicyAuthorizationResult authorizeResult)
    {
        if (context.GetEndpoint() is RouteEndpoint endpoint && !await Recorded(endpoint, context, authorizeResult))
        {
            await Results.Problem("The hub could not record this, so it was not done and nothing is shown. Ask the owner to look at the hub's disk, then ask again.", statusCode: StatusCodes.Status503ServiceUnavailable).ExecuteAsync(context);
            return;
        }

        await _usual.HandleAsync(next, context, policy, authorizeResult);
    }

    private async Task<bool> Recorded(RouteEndpoint endpoint, HttpContext context, PolicyAuthorizationResult authorizeResult)
    {
        var (caller, door, about) = (CallerOf.Principal(context.User), Door.Http(endpoint)[0], About(endpoint, context.Request.RouteValues));
        try
        {
            await (authorizeResult.Succeeded
                ? trail.Before(caller, door, about)
                : trail.After(caller, door, about, caller is null ? RefusalCodes.NotSignedIn : RefusalCodes.RoleNotAllowed));
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
