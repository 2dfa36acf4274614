using System.Data.Common;
using Microsoft.AspNetCore.Identity;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Kits.Items;
using TeleHearing.Hub.Storage.Log;
using TeleHearing.Hub.Storage.Postgres;
using TeleHearing.Hub.Storage.Sealing;
using TeleHearing.Hub.Storage.Upgrading;

namespace TeleHearing.Hub.Storage;

/// <summary>Registers the database and brings it up.</summary>
internal static class StorageRegistration
{
    /// <summary>Version of the tables this build reads and writes. A change of the tables brings its own upgrade, which raises it (docs/decisions/0007).</summary>
    public static int SchemaVersion => SchemaUpgrades.Newest;

    public const string FileName = "hub.db";

    public static IServiceCollection AddStorage(this IServiceCollection services, HubSettings settings)
    {
        var file = Path.Combine(settings.DataFolder, FileName);

        // The tables of the accounts follow from this, and their shape is kept for as long as the process lives: it is set wherever the store is.
        services.Configure<IdentityOptions>(options => options.Stores.SchemaVersion = IdentitySchemaVersions.Version3);
        services.AddDbContextFactory<HubContext>(options =>
        {
            if (settings.Database is { } database)
            {
                PostgresStore.Use(options, database);
            }
            else
            {
                options.UseSqlite($"Data Source={file}").AddInterceptors(DurableConnection.Instance);
            }

            options.AddInterceptors(RowOpener.Instance);
        });
        services.AddSingleton<KeyDatabase>();
        services.AddHubKeys(settings);
        services.AddSingleton<DataKeys>();
        services.AddSingleton(provider => new Seals(provider.GetRequiredService<DataKeys>()));
        services.AddSingleton<LogDialect>(settings.Database is null ? new SqliteDialect() : new PostgresDialect());
        services.AddSingleton<IEventLog, EventLog>();
        services.AddSingleton<SessionStore>();
        services.AddSingleton<KitFactStore>();
        services.AddSingleton<FleetFactStore>();
        return services;
    }

    /// <summary>Makes the tables when the folder is new, brings older ones up after a copy of them was made, and refuses a database of another version.</summary>
    /// <exception cref="InvalidOperationException">The database was written by another version, or the keys of the folder do not open it.</exception>
    public static void Prepare(IServiceProvider services)
    {
        using var context = services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();
        var seals = services.GetRequiredService<Seals>();
        if (context.Database.IsNpgsql())
        {
            PostgresStore.Prepare(services, context, seals, services.GetRequiredService<TimeProvider>());
            return;
        }

        if (context.Database.EnsureCreated())
        {
            context.SchemaVersions.Add(new SchemaVersionRow { Id = 1, Version = SchemaVersion });
            context.SaveChanges();
            seals.Keys.Ensure(Seals.Clinic);
            return;
        }

        var found = context.SchemaVersions.AsNoTracking().SingleOrDefault(row => row.Id == 1)?.Version;
        if (found is { } older && SchemaUpgrades.Reaches(older))
        {
            found = Upgrade(services, context, seals, older);
        }

        if (found != SchemaVersion)
        {
            throw new InvalidOperationException(SchemaUpgrades.OtherVersion(found));
        }

        if (seals.Keys.Find(Seals.Clinic) is null)
        {
            throw new InvalidOperationException(HubKeys.DoNotFit);
        }

        FinishSealing(services, context, seals);
    }

    private static int Upgrade(IServiceProvider services, HubContext context, Seals seals, int older)
    {
        var (settings, time, log) = (services.GetRequiredService<HubSettings>(), services.GetRequiredService<TimeProvider>(), services.GetRequiredService<ILoggerFactory>().CreateLogger(typeof(SchemaUpgrades)));
        var copy = CopyBeforeUpgrade.Make(context, settings.DataFolder, older, time);
        CopyBeforeUpgrade.Tell(log, older, SchemaVersion, copy);
        if (older < SchemaUpgrades.SealedFrom)
        {
            SealOldStore.MakeKeys(context, seals);
        }

        return SchemaUpgrades.Run(context, older, seals, time);
    }

    /// <summary>What sealing an older store leaves to do once its tables are committed, at this start or, if that one is cut off, at the next: every step can be taken again.</summary>
    private static void FinishSealing(IServiceProvider services, HubContext context, Seals seals)
    {
        if (!SealOldStore.IsUnfinished(context))
        {
            return;
        }

        // What lay open stays on the disk in pages that are free until they are written over.
        context.Database.ExecuteSqlRaw("VACUUM");
        var folder = services.GetRequiredService<HubSettings>().DataFolder;
        PhotoStore.SealOld(folder, seals, CancellationToken.None).GetAwaiter().GetResult();
        CopyBeforeUpgrade.TellThatItLiesOpen(services.GetRequiredService<ILoggerFactory>().CreateLogger(typeof(SchemaUpgrades)), Path.Combine(folder, CopyBeforeUpgrade.Folder));
        context.Database.OpenConnection();
        try
        {
            if (WriteAheadLog.Empty(context.Database.GetDbConnection(), CancellationToken.None).GetAwaiter().GetResult())
            {
                SealOldStore.Finished(context);
            }
        }
        finally
        {
            context.Database.CloseConnection();
        }
    }

    /// <summary>Every connection writes ahead and syncs fully, so that what was acknowledged survives a power cut.</summary>
    private sealed class DurableConnection : DbConnectionInterceptor
    {
        public static DurableConnection Instance { get; } = new();

        // busy_timeout lets SQLite itself wait for another writer with short steps; the provider's own wait sleeps 150 ms at a time.
        private const string Pragmas = "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA busy_timeout=5000; PRAGMA foreign_keys=ON;";

        public override void ConnectionOpened(DbConnection connection, ConnectionEndEventData eventData)
        {
            using var command = connection.CreateCommand();
            command.CommandText = Pragmas;
            command.ExecuteNonQuery();
        }

        public override async Task ConnectionOpenedAsync(DbConnection connection, ConnectionEndEventData eventData, CancellationToken cancellationToken = default)
        {
            await using var command = connection.CreateCommand();
            command.CommandText = Pragmas;
            await command.ExecuteNonQueryAsync(cancellationToken);
        }
    }
}
