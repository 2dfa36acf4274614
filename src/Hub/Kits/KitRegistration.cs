using Microsoft.EntityFrameworkCore;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Board;
using TeleHearing.Hub.Kits.Facts;
using TeleHearing.Hub.Kits.Keys;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Log;

namespace TeleHearing.Hub.Kits;

/// <summary>Services of kits.</summary>
internal static class KitRegistration
{
    public static IServiceCollection AddKits(this IServiceCollection services)
    {
        services.AddSingleton(provider => new KitFleet(
            provider.GetRequiredService<IDbContextFactory<HubContext>>(),
            provider.GetRequiredService<IEventLog>(),
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<HubSettings>(),
            provider.GetRequiredService<HubKey>()));
        services.AddSingleton(provider => new KitRevocation(
            provider.GetRequiredService<IDbContextFactory<HubContext>>(),
            provider.GetRequiredService<IEventLog>(),
            provider.GetRequiredService<TimeProvider>(),
            provider.GetRequiredService<KitLinks>(),
            provider.GetRequiredService<PresenceGate>()));
        services.AddSingleton<HubKey>();
        services.AddSingleton<ISeenOnce, SeenOnce>();
        services.AddSingleton<KitTokens>();
        services.AddSingleton<KitProofs>();
        services.AddSingleton<KitChallenges>();
        services.AddSingleton<KitFacts>();
        services.AddSingleton<KitUse>();
        services.AddSingleton<KnownEarSource>();
        services.AddSingleton<NamedThings>();
        services.AddSingleton<KitBoardReader>();
        services.AddSingleton<HubClock>();
        services.AddSingleton<KitLinks>();
        services.AddSingleton<KitSessions>();
        services.AddSingleton<PresenceGate>();
        services.AddSingleton<JournalKeys>();
        services.AddSingleton<LinkWatch>();
        services.AddHostedService(provider => provider.GetRequiredService<LinkWatch>());
        services.AddHostedService<LeaseRenewer>();
        services.AddHostedService<BoardReadAhead>();
        return services;
    }
}
