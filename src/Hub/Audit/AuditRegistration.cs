using Microsoft.AspNetCore.Authorization;

namespace TeleHearing.Hub.Audit;

/// <summary>Services of the audit.</summary>
internal static class AuditRegistration
{
    public static IServiceCollection AddAudit(this IServiceCollection services)
    {
        services.AddSingleton<AuditLog>();
        services.AddSingleton<HeadExchange>();
        services.AddSingleton<RefusalCounter>();
        services.AddSingleton<AuditTrail>();
        services.AddHostedService<RefusalFlush>();
        services.AddSingleton<IAuthorizationMiddlewareResultHandler, AuditedEndpoints>();
        return services;
    }
}
