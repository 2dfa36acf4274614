using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Rights;

/// <summary>Lets nobody call a method of a hub that stands in no row, nor one that stands in a row of others. A method that hands a request on is answered by that request's own refusal, in words and in its own type.</summary>
internal sealed class HubMethodRights(AuditTrail trail) : IHubFilter
{
    public async ValueTask<object?> InvokeMethodAsync(HubInvocationContext invocationContext, Func<HubInvocationContext, ValueTask<object?>> next)
    {
        var door = Door.Method(invocationContext.Hub.GetType(), invocationContext.HubMethodName);
        var who = invocationContext.Context.User is { } user ? PartiesOf.Principal(user) : Parties.None;
        if (RightsTable.Row(door) is { } row && (HandsOn(row) || RightsTable.Allows(who, door)))
        {
            return await next(invocationContext);
        }

        await trail.After(CallerOf.Principal(invocationContext.Context.User), door, [], RefusalCodes.RoleNotAllowed);
        throw new HubException("Your role does not allow this.");
    }

    private static bool HandsOn(RightsRow row) => row.Doors.Any(Door.IsRequest);
}
