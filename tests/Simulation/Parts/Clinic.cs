using System.Security.Claims;
using Microsoft.AspNetCore.DataProtection;
using Microsoft.Data.Sqlite;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Infrastructure;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.DependencyInjection.Extensions;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;
using TeleHearing.Contracts;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Identity;
using TeleHearing.Hub.Identity.SignedIn;
using TeleHearing.Hub.Kits;
using TeleHearing.Hub.People;
using TeleHearing.Hub.Sessions;
using TeleHearing.Hub.Storage;
using TeleHearing.Simulation.Disk;
using TeleHearing.Site.Agent.Link;

namespace TeleHearing.Simulation.Parts;

/// <summary>Somebody who works with the hub and is signed in.</summary>
internal sealed record SignedInPerson(string Id, string Name, string SignInId)
{
    /// <summary>Who they are to the hub, as their cookie says it.</summary>
    public ClaimsPrincipal Principal { get; } = new(new ClaimsIdentity(
        [
            new Claim(ClaimTypes.NameIdentifier, Id),
            new Claim(PersonCaller.NameClaim, Name),
            new Claim(ClaimTypes.Role, Roles.Clinician),
            new Claim(SignInCookie.SignInClaim, SignInId),
        ],
        "simulated"));
}

/// <summary>The invented clinic every world begins with, made once by the hub's own code: two clinicians, two kits that are enrolled, a session for each.</summary>
internal sealed class Clinic
{
    /// <summary>When every world begins.</summary>
    public static readonly DateTimeOffset Begins = new(2026, 3, 2, 9, 0, 0, TimeSpan.Zero);

    public const string KitFolder = "/kit";

    private static readonly Lazy<Clinic> _one = new(() => new Clinic());

    private readonly List<ServiceDescriptor> _services = [];
    private readonly byte[] _database;

    private Clinic()
    {
        var folder = Folders.Make();
        try
        {
            var settings = Settings(folder);
            using var app = HubHost.Build(settings, services =>
            {
                services.Replace(ServiceDescriptor.Singleton<TimeProvider>(new StandingClock()));
                services.Replace(ServiceDescriptor.Singleton<ILoggerFactory>(NullLoggerFactory.Instance));
                foreach (var service in services)
                {
                    _services.Add(service);
                }
            });
            Protection = app.Services.GetRequiredService<IDataProtectionProvider>();
            var people = app.Services.GetRequiredService<PeopleAdmin>();
            First = Enter(app.Services, "Maren Toft");
            Second = Enter(app.Services, "Ivo Lindqvist");
            KitFiles = Enrol(app.Services, Kit);
            OtherKitFiles = Enrol(app.Services, OtherKit);
            Session = Plan(app.Services, "P-0001", "Ottilie Brandvold", Kit);
            OtherSession = Plan(app.Services, "P-0002", "Casimir Ferreolus", OtherKit);
            SqliteConnection.ClearAllPools();
            using (var connection = new SqliteConnection($"Data Source={Path.Combine(folder, StorageRegistration.FileName)};Pooling=False"))
            {
                connection.Open();
                using var command = connection.CreateCommand();
                command.CommandText = "PRAGMA wal_checkpoint(TRUNCATE)";
                command.ExecuteNonQuery();
            }

            _database = File.ReadAllBytes(Path.Combine(folder, StorageRegistration.FileName));
        }
        finally
        {
            Folders.Remove(folder);
        }

        // What is made anew for every run of a hub.
        _services.RemoveAll(service =>
            service.ServiceType == typeof(IDbContextFactory<HubContext>)
            || service.ServiceType == typeof(DbContextOptions<HubContext>)
            || service.ServiceType == typeof(DbContextOptions)
            || service.ServiceType == typeof(IDbContextOptionsConfiguration<HubContext>)
            || service.ServiceType == typeof(HubSettings)
            || service.ServiceType == typeof(TimeProvider));
    }

    public static Clinic One => _one.Value;

    public static KitId Kit { get; } = new("kit-01");

    public static KitId OtherKit { get; } = new("kit-02");

    public SignedInPerson First { get; }

    public SignedInPerson Second { get; }

    public SessionId Session { get; }

    public SessionId OtherSession { get; }

    public IReadOnlyDictionary<string, byte[]> KitFiles { get; }

    public IReadOnlyDictionary<string, byte[]> OtherKitFiles { get; }

    /// <summary>The hub's own keys: one file set for all runs, as on a disk that is never in trouble.</summary>
    public IDataProtectionProvider Protection { get; }

    public static HubSettings Settings(string folder) => new() { DataFolder = folder, Urls = "http://127.0.0.1:0", ServeConsole = false, LogToConsole = false };

    /// <summary>Everything a hub is put together from.</summary>
    public IServiceCollection Services(HubSettings settings)
    {
        IServiceCollection services = new ServiceCollection();
        foreach (var service in _services)
        {
            services.Add(service);
        }

        services.AddSingleton(settings);
        services.AddStorage(settings);
        services.AddSingleton(Protection);
        services.AddSingleton<ILoggerFactory>(NullLoggerFactory.Instance);
        return services;
    }

    /// <summary>Puts the clinic's database into a folder.</summary>
    public void Put(string folder) => File.WriteAllBytes(Path.Combine(folder, StorageRegistration.FileName), _database);

    private static SignedInPerson Enter(IServiceProvider services, string name)
    {
        var id = services.GetRequiredService<PeopleAdmin>().Enter(name, [Roles.Clinician], CancellationToken.None).GetAwaiter().GetResult();
        return new SignedInPerson(id, name, services.GetRequiredService<SignIns>().Begin(id, proven: true).GetAwaiter().GetResult());
    }

    private static IReadOnlyDictionary<string, byte[]> Enrol(IServiceProvider services, KitId kitId)
    {
        var fleet = services.GetRequiredService<KitFleet>();
        fleet.Enter(kitId, "loan kit", "shelf", CancellationToken.None).GetAwaiter().GetResult();
        var code = fleet.IssueEnrolmentCode(kitId, CancellationToken.None).GetAwaiter().GetResult();
        using var key = KitKeyStore.Make();
        var reply = fleet.Enrol(new EnrolRequest(code, key.Key.ExportSubjectPublicKeyInfoPem(), Protocol.Version), CancellationToken.None).GetAwaiter().GetResult();
        var disk = new SimDisk(new Random(0));
        KitCredential.Store(KitFolder, disk.For(null), new Identity(kitId, "http://hub.invalid", string.Empty, reply.HubKeyPem!), key);
        return disk.Copy();
    }

    private static SessionId Plan(IServiceProvider services, string reference, string name, KitId kitId) => services.GetRequiredService<SessionSchedule>().Plan(
        new SessionPlan(new PersonTested(reference, name, new DateOnly(1951, 3, 4), "Trouble following talk in company"), "at home, kit posted", Begins, kitId, string.Empty),
        CancellationToken.None).GetAwaiter().GetResult();

    private sealed class StandingClock : TimeProvider
    {
        public override TimeZoneInfo LocalTimeZone => TimeZoneInfo.Utc;

        public override DateTimeOffset GetUtcNow() => Begins;
    }
}

/// <summary>Folders for databases, in memory where the system has such a place.</summary>
internal static class Folders
{
    private const string InMemory = "/dev/shm";

    public static string Make()
    {
        var path = Path.Combine(Directory.Exists(InMemory) ? InMemory : Path.GetTempPath(), "telehearing-simulation-" + Guid.NewGuid().ToString("N"));
        Directory.CreateDirectory(path);
        return path;
    }

    public static void Remove(string path) => Directory.Delete(path, recursive: true);
}
