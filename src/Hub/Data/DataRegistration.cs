namespace TeleHearing.Hub.Data;

/// <summary>Services of backup, export and erasing.</summary>
internal static class DataRegistration
{
    public static IServiceCollection AddData(this IServiceCollection services)
    {
        services.AddSingleton<SessionEraser>();
        services.AddSingleton<OtherLogs>();
        services.AddSingleton<PersonErasure>();
        services.AddSingleton<PersonExport>();
        services.AddSingleton<DataTickets>();
        return services;
    }

    /// <summary>Finishes erasures that were cut off, before anybody can look.</summary>
    /// <exception cref="InvalidOperationException">The list of erasures cannot be read.</exception>
    public static void FinishErasures(this IServiceProvider services)
    {
        try
        {
            services.GetRequiredService<PersonErasure>().Finish(CancellationToken.None).GetAwaiter().GetResult();
        }
        catch (FormatException fault)
        {
            throw new InvalidOperationException(fault.Message, fault);
        }
    }
}
