using Microsoft.AspNetCore.Http.Connections;
using Microsoft.AspNetCore.SignalR;
using Microsoft.AspNetCore.SignalR.Protocol;
using Microsoft.Extensions.DependencyInjection.Extensions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Rights;
using TeleHearing.Hub.Sessions;

namespace TeleHearing.Hub.Hosting;

/// <summary>The two SignalR hubs: settings and addresses.</summary>
internal static class HubRouting
{
    /// <summary>Largest message a peer may send, in bytes: a report batch of a long search fits many times over.</summary>
    internal const long LargestMessage = 1024 * 1024;

    public static IServiceCollection AddHubs(this IServiceCollection services, HubSettings settings)
    {
        services.AddSingleton(CallRates.Usual);
        services.AddSingleton<CallLimits>();
        services.AddSingleton(new WorkPlaces(TimeProvider.System));
        var signalR = services.AddSignalR(options =>
            {
                options.AddFilter<LiveConsoles>();
                options.AddFilter<CallLimits>();
                options.AddFilter<WorkPlaces>();
                options.AddFilter<HubMethodRights>();
                options.MaximumReceiveMessageSize = LargestMessage;
                // Calls of one connection run one after another by default; a stop must not wait behind a slow one.
                options.MaximumParallelInvocationsPerClient = 8;
                options.KeepAliveInterval = settings.KitKeepAlive;
                options.EnableDetailedErrors = false;
            })
            .AddHubOptions<KitHub>(options =>
            {
                options.ClientTimeoutInterval = settings.KitTimeout;

                // A kit speaks in the order of its journal, and its lamps go on before they go off: its short calls keep their order.
                options.MaximumParallelInvocationsPerClient = 1;
            })
            .AddJsonProtocol(options => Protocol.Configure(options.PayloadSerializerOptions));

        // In place of SignalR's own, under the same name: a peer notices nothing.
        services.RemoveAll<IHubProtocol>();
        services.AddSingleton<JsonHubProtocol>();
        services.AddSingleton<IHubProtocol, WholeMessages>();
        services.AddSingleton<HubConnectionHandler<ConsoleHub>, SealedHubConnections<ConsoleHub>>();
        services.AddSingleton<HubConnectionHandler<KitHub>, SealedHubConnections<KitHub>>();
        if (settings.Redis is { } redis)
        {
            signalR.AddStackExchangeRedis(redis, options => options.Configuration.AbortOnConnectFail = false);
        }

        return services;
    }

    public static void MapHubs(this IEndpointRouteBuilder routes)
    {
        routes.MapHub<ConsoleHub>(Protocol.ConsoleHubPath, SocketsOnly);
        routes.MapHub<KitHub>(Protocol.KitHubPath, SocketsOnly);
    }

    /// <summary>One connection is one socket to one hub: nothing has to come back to the same hub by a second request.</summary>
    private static void SocketsOnly(HttpConnectionDispatcherOptions options) => options.Transports = HttpTransportType.WebSockets;
}
