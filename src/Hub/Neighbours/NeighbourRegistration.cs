namespace TeleHearing.Hub.Neighbours;

/// <summary>Services of hubs that share a database; of a hub that is alone they do nothing.</summary>
internal static class NeighbourRegistration
{
    /// <summary>Registers them. Before what serves kits, so that it starts first and ends last.</summary>
    public static IServiceCollection AddNeighbours(this IServiceCollection services)
    {
        services.AddSingleton<HubWire>();
        services.AddSingleton<SharedKits>();
        services.AddSingleton<SharedConsoles>();
        services.AddSingleton<ControlHeard>();
        services.AddSingleton<HubFigures>();
        services.AddSingleton<NeighbourWatch>();
        services.AddSingleton<LogFollower>();
        services.AddHostedService(provider => provider.GetRequiredService<NeighbourWatch>());
        services.AddHostedService(provider => provider.GetRequiredService<LogFollower>());
        services.AddHostedService<WireListener>();
        return services;
    }
}
