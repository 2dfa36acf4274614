using TeleHearing.Contracts;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Data;
using TeleHearing.Hub.Exchange.Epcis;
using TeleHearing.Hub.Fleet;
using TeleHearing.Hub.Fleet.Papers;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.Confirmation;
using TeleHearing.Hub.Identity.Organisation;
using TeleHearing.Hub.Identity.Own;
using TeleHearing.Hub.Identity.SetUp;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Neighbours;
using TeleHearing.Hub.Observing;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Pipeline;
using TeleHearing.Hub.Planning;
using TeleHearing.Hub.Records;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Hosting;

/// <summary>Puts a hub together. The same for service, demonstration and tests.</summary>
public static class HubHost
{
    /// <summary>Threads that are made at once when they are needed; far more than calls wait for the disk at a time.</summary>
    private const int ThreadsReady = 32;

    /// <summary>Makes a hub that is ready to run; its data folder exists and its tables are there.</summary>
    /// <param name="settings">Settings.</param>
    /// <param name="configure">Replaces services, e.g. the clock in a test.</param>
    /// <exception cref="ArgumentException">A setting is wrong; the message lists all of them.</exception>
    /// <exception cref="InvalidOperationException">The data folder holds a database of another version.</exception>
    public static WebApplication Build(HubSettings settings, Action<IServiceCollection>? configure = null)
    {
        if (settings.Faults() is { Count: > 0 } faults)
        {
            throw new ArgumentException(string.Join(" ", faults), nameof(settings));
        }

        KeepThreadsReady();
        MakeOwnFolder(settings.DataFolder);
        var builder = WebApplication.CreateBuilder(new WebApplicationOptions
        {
            // The console's files are listed under the hub's own name, also when another program hosts it.
            ApplicationName = typeof(HubHost).Assembly.GetName().Name,
        });
        builder.Logging.ClearProviders();
        builder.WebHost.UseUrls(settings.Urls.Split(';', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries));
        if (settings.CertificateFile is { } file)
        {
            var certificate = Transport.Certificate(settings, file);
            builder.WebHost.ConfigureKestrel(kestrel => kestrel.ConfigureHttpsDefaults(https => https.ServerCertificate = certificate));
        }

        builder.Host.UseDefaultServiceProvider(options =>
        {
            options.ValidateScopes = true;
            options.ValidateOnBuild = true;
        });
        if (settings.ServeConsole)
        {
            builder.WebHost.UseStaticWebAssets();

            // Files are served as they were built. Left on, a build for development packs a file that seems changed anew, with gzip under the name of Brotli, and no browser can read the console.
            builder.Configuration["ReloadStaticAssetsAtRuntime"] = "false";
        }

        AddServices(builder.Services, settings);
        configure?.Invoke(builder.Services);
        var app = builder.Build();
        StorageRegistration.Prepare(app.Services);
        app.Services.FinishErasures();
        app.Services.GetRequiredService<Consent.ConsentTexts>().KeepShipped();
        Map(app, settings);
        return app;
    }

    /// <summary>What is kept there concerns persons: nobody else on the machine may read it. A folder that is there already is the owner's to guard.</summary>
    private static void MakeOwnFolder(string path)
    {
        if (OperatingSystem.IsWindows())
        {
            Directory.CreateDirectory(path);
        }
        else
        {
            Directory.CreateDirectory(path, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
        }
    }

    /// <summary>SQLite's calls block their thread until the disk has synced. On a machine of two cores the pool would start with two threads and add them slowly; leases waiting for one would lapse in the middle of a tone.</summary>
    private static void KeepThreadsReady()
    {
        ThreadPool.GetMinThreads(out var workers, out var completions);
        ThreadPool.SetMinThreads(Math.Max(workers, ThreadsReady), completions);
    }

    private static void AddServices(IServiceCollection services, HubSettings settings)
    {
        services.AddSingleton(settings);
        services.AddSingleton(TimeProvider.System);
        services.Configure<HostOptions>(options => options.ShutdownTimeout = settings.ShutdownLimit);
        services.ConfigureHttpJsonOptions(options => Protocol.Configure(options.SerializerOptions));
        services.AddHubLogging(settings);
        services.AddStorage(settings);
        services.AddHubIdentity(settings);
        services.AddAudit();
        services.AddSingleton<PeopleAdmin>();
        services.AddScoped<PeopleKeeping>();
        services.AddNeighbours();
        services.AddObserving();
        services.AddKits();
        services.AddFleet();
        services.AddEpcis();
        services.AddItems();
        services.AddSessions();
        services.AddPlanning();
        services.AddRecords();
        services.AddData();
        services.AddPipeline();
        services.AddHubs(settings);
    }

    private static void Map(WebApplication app, HubSettings settings)
    {
        app.UseSecurityHeaders(settings);
        app.UseSameOrigin();
        app.UseAuthentication();
        app.UseAuthorization();
        app.UseSpentProofs();
        app.MapIdentity();
        app.MapOrganisation();
        app.MapConfirmation();
        app.MapLock();
        app.MapSetUp();
        app.MapAccount();
        app.MapKits();
        app.MapFleet();
        app.MapEpcis();
        app.MapItems();
        app.MapSessions();
        app.MapRecords();
        app.MapData();
        app.MapHeads();
        app.MapHubs();
        app.MapObserving();
        app.Map("/api/{**rest}", () => Results.NotFound());
        if (settings.ServeConsole)
        {
            app.MapStaticAssets().AllowAnonymous();
            app.MapFallbackToFile("index.html").AllowAnonymous();
        }
    }
}
