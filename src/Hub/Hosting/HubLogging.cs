using Serilog;
using Serilog.Extensions.Logging;
using Serilog.Formatting.Compact;

namespace TeleHearing.Hub.Hosting;

/// <summary>The only place that knows where log lines go. They carry ids and kinds, never names or health data.</summary>
internal static class HubLogging
{
    /// <summary>Least that is logged of what comes from outside the hub's own code, by the beginning of its name.</summary>
    private static readonly (string? Category, LogLevel Level)[] _least =
    [
        (null, LogLevel.Information),

        // Request lines would carry the kits' assertions and the sign-in codes, which stand in addresses.
        ("Microsoft", LogLevel.Warning),
        ("Microsoft.Hosting.Lifetime", LogLevel.Information),

        // Says each refused kit connection twice more.
        ("TeleHearing.Hub.Kits.KitKeyHandler", LogLevel.Warning),

        // Says every failed statement twice, a lost race among them; what matters is logged where it is handled.
        ("Microsoft.EntityFrameworkCore", LogLevel.Critical),

        // What an issuer says of a person, and what a stranger writes into the address that leads back, is in no log; that a sign-in was refused is told by its kind alone (1602).
        ("Microsoft.AspNetCore.Authentication.OpenIdConnect", LogLevel.Critical),
        ("Microsoft.Identity", LogLevel.Critical),
        ("Microsoft.IdentityModel", LogLevel.Critical),
    ];

    /// <summary>Logs through the framework's own factory, which makes one logger for each name. The library's makes one whenever it is asked, and a connection asks four times and keeps them.</summary>
    public static void AddHubLogging(this IServiceCollection services, HubSettings settings)
    {
        services.Configure<LoggerFactoryOptions>(options => options.ActivityTrackingOptions = ActivityTrackingOptions.None);
        services.PostConfigure<LoggerFilterOptions>(options =>
        {
            // Decided here alone: a variable of the environment must not bring addresses into the log.
            options.Rules.Clear();
            foreach (var (category, level) in _least)
            {
                options.Rules.Add(new LoggerFilterRule(providerName: null, category, level, filter: null));
            }
        });

        // Each hub of a process has a log of its own, which ends with it.
        services.AddSingleton<ILoggerProvider>(_ => new SerilogLoggerProvider(Log(settings), dispose: true));
    }

    private static Serilog.Core.Logger Log(HubSettings settings)
    {
        var configuration = new LoggerConfiguration()
            // Whatever is warned of while a request is answered would name its address.
            .Enrich.With<WithoutAddresses>()
            .WriteTo.File(
                new CompactJsonFormatter(),
                Path.Combine(settings.DataFolder, "logs", "hub-.jsonl"),
                rollingInterval: RollingInterval.Day,
                retainedFileCountLimit: 30,
                shared: true);
        if (settings.LogToConsole)
        {
            configuration.WriteTo.Console(formatProvider: System.Globalization.CultureInfo.InvariantCulture);
        }

        return configuration.CreateLogger();
    }
}
