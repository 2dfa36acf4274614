using MediatR;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Sessions.Control;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Sessions;

/// <summary>Services and addresses of sessions.</summary>
internal static class SessionRegistration
{
    public static IServiceCollection AddSessions(this IServiceCollection services)
    {
        services.AddSingleton(provider => new SessionSchedule(
            provider.GetRequiredService<KitFleet>(),
            provider.GetRequiredService<SessionStore>(),
            provider.GetRequiredService<Broadcaster>()));
        services.AddSingleton<Protocols.ProtocolShelf>();
        services.AddSingleton<Consent.ConsentTexts>();
        services.AddSingleton<Board>();
        services.AddSingleton<StepSeeds>();
        services.AddSingleton<SessionRunner>();
        services.AddSingleton<Start.CardReader>();
        services.AddSingleton<SessionReader>();
        services.AddSingleton<CommitFollower>();
        services.AddSingleton<SilenceFirst>();
        services.AddScoped<OwnSessions>();
        services.AddHostedService<Control.EndedHolders>();
        services.AddSingleton<ControlLeases>();
        services.AddSingleton<Colleagues>();
        services.AddHostedService<ControlWatch>();
        services.AddSingleton<Broadcaster>();
        services.AddHostedService(provider => provider.GetRequiredService<Broadcaster>());
        return services;
    }

    public static void MapSessions(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/api/board", async (HttpContext http, IMediator mediator, CancellationToken cancellationToken) =>
            Results.Json(await mediator.Send(new WatchBoardQuery(PersonCaller.From(http.User), null), cancellationToken), Protocol.Json));
}
