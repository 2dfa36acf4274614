using TeleHearing.Contracts;
using TeleHearing.Hub.Identity;

namespace TeleHearing.Hub.Sessions;

/// <summary>Services and addresses of sessions.</summary>
internal static class SessionRegistration
{
    public static IServiceCollection AddSessions(this IServiceCollection services)
    {
        services.AddSingleton<SessionSchedule>();
        services.AddSingleton<Board>();
        return services;
    }

    public static void MapSessions(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/api/board", async (HttpContext http, Board board, CancellationToken cancellationToken) =>
            Results.Json(await board.Read(Board.SeesSessions(PersonCaller.From(http.User)), cancellationToken), Protocol.Json))
            .RequireAuthorization(IdentityRegistration.PersonPolicy);
}
