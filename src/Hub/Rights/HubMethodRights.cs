using Microsoft.AspNetCore.SignalR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Rights;

/// <summary>Lets nobody call a method of a hub that stands in no row, nor one that stands in a row of others. A method that hands a request on is answered by that request's own refusal, in words and in its own type.</summary>
internal sealed class HubMethodRights(AuditTrail trail, EntryGuard guard) : IHubFilter
{
    public async ValueTask<object?> InvokeMethodAsync(HubInvocationContext invocationContext, Func<HubInvocationContext, ValueTask<object?>> next)
    {
        var door = Door.Method(invocationContext.Hub.GetType(), invocationContext.HubMethodName);
        var who = invocationContext.Context.User is { } user ? PartiesOf.Principal(user) : Parties.None;
        var caller = CallerOf.Principal(invocationContext.Context.User);
        if (RightsTable.Row(door) is not { } row || !(HandsOn(row) || RightsTable.Allows(who, door)))
        {
            await trail.After(caller, door, [], RefusalCodes.RoleNotAllowed);
            throw new HubException("Your role does not allow this.");
        }

        if (!HandsOn(row))
        {
            await guard.Fresh(caller, door);
        }

        if (!HandsOn(row) && caller is not null && guard.Refusal(caller, door) is { } refusal)
        {
            await trail.After(caller, door, [], refusal.Code);
            throw new HubException(refusal.Sentence + " " + refusal.Remedy);
        }

        return await next(invocationContext);
    }

    private static bool HandsOn(RightsRow row) => row.Doors.Any(Door.IsRequest);
}
