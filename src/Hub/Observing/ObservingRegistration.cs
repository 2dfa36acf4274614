using Microsoft.Extensions.Diagnostics.HealthChecks;
using OpenTelemetry;

namespace TeleHearing.Hub.Observing;

/// <summary>How a hub is seen from outside: whether it runs, whether it is ready, what it measures.</summary>
internal static class ObservingRegistration
{
    /// <summary>Variable of the environment by OpenTelemetry's own name; absent: nothing is sent.</summary>
    public const string CollectorVariable = "OTEL_EXPORTER_OTLP_ENDPOINT";

    private static readonly TimeSpan _answer = TimeSpan.FromSeconds(2);

    // Counts and durations of the framework and of the database's driver. Its traces are left out: they hold addresses, and addresses hold codes of links.
    private static readonly string[] _meters = [HubTelemetry.Name, "Microsoft.AspNetCore.Hosting", "Microsoft.AspNetCore.Server.Kestrel", "Microsoft.AspNetCore.Http.Connections", "System.Runtime", "Npgsql"];

    /// <summary>Registers it.</summary>
    public static IServiceCollection AddObserving(this IServiceCollection services)
    {
        services.AddSingleton<HubTelemetry>();
        services.AddSingleton<StatusReader>();
        services.AddHealthChecks()
            .AddCheck<StoreReady>(StoreReady.Name, timeout: _answer)
            .AddCheck<NeighboursReady>(NeighboursReady.Name);
        if (Environment.GetEnvironmentVariable(CollectorVariable) is { Length: > 0 })
        {
            services.AddOpenTelemetry()
                .WithMetrics(metrics => metrics.AddMeter(_meters))
                .WithTracing(traces => traces.AddSource(HubTelemetry.Name))
                .UseOtlpExporter();
        }

        return services;
    }

    /// <summary>Maps its addresses.</summary>
    public static void MapObserving(this IEndpointRouteBuilder routes)
    {
        routes.MapGet("/health", () => Results.Text("ok"));

        // Why it is not stands on the owner's page.
        routes.MapGet("/health/ready", async (HealthCheckService checks, CancellationToken cancellationToken) =>
            (await checks.CheckHealthAsync(cancellationToken)).Status == HealthStatus.Unhealthy ? Results.Text("not ready", statusCode: StatusCodes.Status503ServiceUnavailable) : Results.Text("ready"));
        routes.MapGet(StatusPage.Path, async (HttpContext http, StatusReader reader, CancellationToken cancellationToken) => StatusPage.Whole(http, await reader.Read(cancellationToken)));
        routes.MapGet(StatusPage.Path + "/now", async (StatusReader reader, CancellationToken cancellationToken) => StatusPage.Part(await reader.Read(cancellationToken)));
    }
}
