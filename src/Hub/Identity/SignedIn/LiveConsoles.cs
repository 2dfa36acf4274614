using Microsoft.AspNetCore.Authentication;
using Microsoft.AspNetCore.SignalR;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Identity.SignedIn;

/// <summary>Keeps the list of consoles that are connected.</summary>
internal sealed class LiveConsoles(LivePeople live, SharedConsoles consoles) : IHubFilter
{
    public async Task OnConnectedAsync(HubLifetimeContext context, Func<HubLifetimeContext, Task> next)
    {
        if (context.Hub is ConsoleHub && context.Context.User is { } user && CallerOf.Principal(user) is PersonCaller { SignInId: { } signIn } person)
        {
            live.Came(context.Context.ConnectionId, new LiveConsole(person.Id, signIn, SignInCookie.Stamp(user), person.Roles.ToHashSet(StringComparer.Ordinal), context.Context.Abort)
            {
                ExpiresAt = context.Context.GetHttpContext()?.Features.Get<IAuthenticateResultFeature>()?.AuthenticateResult?.Properties?.ExpiresUtc,
            });
            await consoles.Came(context.Context.ConnectionId, person.Id);
        }

        await next(context);
    }

    public async Task OnDisconnectedAsync(HubLifetimeContext context, Exception? exception, Func<HubLifetimeContext, Exception?, Task> next)
    {
        live.Went(context.Context.ConnectionId);
        await next(context, exception);
        await consoles.Went(context.Context.ConnectionId);
    }
}
