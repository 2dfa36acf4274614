using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Observing;

/// <summary>Whether the store answers.</summary>
internal sealed class StoreReady(IDbContextFactory<HubContext> contexts) : IHealthCheck
{
    /// <summary>Name of the check.</summary>
    public const string Name = "store";

    public async Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            await using var store = await contexts.CreateDbContextAsync(cancellationToken);
            return await store.SchemaVersions.AnyAsync(row => row.Id == 1, cancellationToken)
                ? HealthCheckResult.Healthy("The store answers.")
                : HealthCheckResult.Unhealthy("The store has lost its tables.");
        }
        catch (Exception fault) when (StoreFaults.Is(fault))
        {
            return HealthCheckResult.Unhealthy("The store does not answer; nothing is carried out until it does.");
        }
    }
}

/// <summary>Whether a hub that shares its store sees what the others do. One that is alone always does.</summary>
internal sealed class NeighboursReady(HubSettings settings, HubClock clock, HubWire wire) : IHealthCheck
{
    /// <summary>Name of the check.</summary>
    public const string Name = "hubs";

    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default) => Task.FromResult(
        !clock.SeesTheLog ? HealthCheckResult.Unhealthy("This hub does not see what the others decide; it allows no sound until it does.")
        : settings.Redis is not null && !wire.Stands ? HealthCheckResult.Degraded("Redis does not answer: what another hub does is seen a fifth of a second later, and live signals of kits there are missing.")
        : HealthCheckResult.Healthy(settings.IsShared ? "This hub sees what the others do." : "This hub is alone on its store."));
}
