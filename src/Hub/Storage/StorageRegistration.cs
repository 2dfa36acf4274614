using System.Data.Common;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Diagnostics;
using TeleHearing.Hub.Hosting;

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
        services.AddDbContextFactory<HubContext>(options => options
            .UseSqlite($"Data Source={file}")
            .AddInterceptors(DurableConnection.Instance));
        services.AddSingleton<SessionStore>();
        services.AddSingleton<KitFactStore>();
        services.AddSingleton<FleetFactStore>();
        return services;
    }

    /// <summary>Makes the tables when the folder is new, brings older ones up, and refuses a database of another version.</summary>
    /// <exception cref="InvalidOperationException">The database was written by another version.</exception>
    public static void Prepare(IServiceProvider services)
    {
        using var context = services.GetRequiredService<IDbContextFactory<HubContext>>().CreateDbContext();
        if (context.Database.EnsureCreated())
        {
            context.SchemaVersions.Add(new SchemaVersionRow { Id = 1, Version = SchemaVersion });
            context.SaveChanges();
            return;
        }

        var found = context.SchemaVersions.AsNoTracking().SingleOrDefault(row => row.Id == 1)?.Version;
        if (found is { } older && SchemaUpgrades.Reaches(older))
        {
            found = SchemaUpgrades.Run(context, older);
        }

        if (found != SchemaVersion)
        {
            throw new InvalidOperationException(
                $"The database in the data folder has tables of version {found?.ToString(System.Globalization.CultureInfo.InvariantCulture) ?? "unknown"}, this hub needs version {SchemaVersion}. "
                + "Nothing was changed. Start the hub version that wrote it, or name another data folder.");
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
