namespace TeleHearing.Hub.Data;

/// <summary>Services of backup, export and erasing.</summary>
internal static class DataRegistration
{
    public static IServiceCollection AddData(this IServiceCollection services)
    {
        services.AddSingleton<PersonErasure>();
        services.AddSingleton<PersonExport>();
        services.AddSingleton<DataTickets>();
        return services;
    }
}
