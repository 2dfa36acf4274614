using Microsoft.AspNetCore.Authorization;

namespace TeleHearing.Hub.Rights;

/// <summary>Asks the rights table about every address that is not the console's files.</summary>
internal sealed class EndpointRights : AuthorizationHandler<EndpointRights.Requirement>
{
    protected override Task HandleRequirementAsync(AuthorizationHandlerContext context, Requirement requirement)
    {
        if (context.Resource is HttpContext http && MayEnter(http))
        {
            context.Succeed(requirement);
        }

        return Task.CompletedTask;
    }

    private static bool MayEnter(HttpContext http)
    {
        var who = PartiesOf.Principal(http.User);
        return http.GetEndpoint() switch
        {
            // Nothing is there: it is answered as not found.
            null => true,
            RouteEndpoint endpoint => Door.Http(endpoint) is { } doors && doors.All(door => RightsTable.Allows(who, door)),
            _ => false,
        };
    }

    /// <summary>The table allows it.</summary>
    internal sealed class Requirement : IAuthorizationRequirement
    {
        public static Requirement Instance { get; } = new();
    }
}
