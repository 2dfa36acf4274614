namespace TeleHearing.Hub.Fleet;

/// <summary>Services of the fleet.</summary>
internal static class FleetRegistration
{
    public static IServiceCollection AddFleet(this IServiceCollection services)
    {
        services.AddSingleton<FleetFacts>();
        return services;
    }
}
