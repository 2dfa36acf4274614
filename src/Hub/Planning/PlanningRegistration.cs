namespace TeleHearing.Hub.Planning;

/// <summary>Services of planning the fleet.</summary>
internal static class PlanningRegistration
{
    public static IServiceCollection AddPlanning(this IServiceCollection services)
    {
        services.AddSingleton<FleetPlanRuns>();
        return services;
    }
}
