using System.Globalization;
using Npgsql;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Postgres;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the database that hubs share answers, is of this version, keeps what it says it keeps, and has a clock like this machine's. Changes nothing.</summary>
internal static class SharedDatabaseCheck
{
    private const string Subject = "shared database";

    /// <summary>Hubs measure the database's clock for what they share; further off than this, somebody's clock is wrong (design).</summary>
    private static readonly TimeSpan _clocks = TimeSpan.FromSeconds(2);

    public static async Task<IReadOnlyList<Finding>> Examine(string database, TimeProvider time, CancellationToken cancellationToken)
    {
        try
        {
            await using var connection = new NpgsqlConnection(PostgresStore.Connection(database));
            await connection.OpenAsync(cancellationToken);
            return [await Tables(connection, cancellationToken), await Durable(connection, cancellationToken), await Clock(connection, time, cancellationToken)];
        }
        catch (Exception fault) when (fault is NpgsqlException or ArgumentException)
        {
            return [new Finding(Sign.Fault, Subject, $"it cannot be reached: {fault.Message}", "Nothing was changed. See that it runs, and that the connection names it rightly.")];
        }
    }

    private static async Task<Finding> Tables(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        if (await Ask(connection, "SELECT to_regclass('schema_version')::text", cancellationToken) is not string)
        {
            return new Finding(Sign.Attention, Subject, "it is empty.", "The first start makes the tables.");
        }

        var version = await Ask(connection, """SELECT "Version" FROM schema_version WHERE "Id" = 1""", cancellationToken) as int?;
        return version == StorageRegistration.SchemaVersion
            ? new Finding(Sign.Ok, Subject, string.Create(CultureInfo.InvariantCulture, $"PostgreSQL {connection.PostgreSqlVersion}; its tables are of version {version}."))
            : version is >= PostgresUpgrades.First && version < StorageRegistration.SchemaVersion
            ? new Finding(Sign.Attention, Subject, string.Create(CultureInfo.InvariantCulture, $"its tables are of version {version}."), string.Create(CultureInfo.InvariantCulture, $"The next start brings them to version {StorageRegistration.SchemaVersion}; make a dump first."))
            : new Finding(Sign.Fault, Subject, SchemaUpgrades.OtherVersion(version));
    }

    private static async Task<Finding> Durable(NpgsqlConnection connection, CancellationToken cancellationToken)
    {
        List<string> off = [];
        foreach (var setting in new[] { "fsync", "full_page_writes", "synchronous_commit" })
        {
            if (await Ask(connection, $"SELECT current_setting('{setting}')", cancellationToken) is "off")
            {
                off.Add(setting);
            }
        }

        return off.Count == 0
            ? new Finding(Sign.Ok, Subject, "what it says it keeps survives a power cut.")
            : new Finding(Sign.Fault, Subject, $"{string.Join(" and ", off)} {(off.Count == 1 ? "is" : "are")} off: what a hub has acknowledged could be lost in a power cut.", "Switch it on in the server's settings.");
    }

    private static async Task<Finding> Clock(NpgsqlConnection connection, TimeProvider time, CancellationToken cancellationToken)
    {
        var there = await Ask(connection, "SELECT clock_timestamp()", cancellationToken) is DateTime at ? new DateTimeOffset(at.ToUniversalTime(), TimeSpan.Zero) : time.GetUtcNow();
        var off = (there - time.GetUtcNow()).Duration();
        return off <= _clocks
            ? new Finding(Sign.Ok, Subject, "its clock fits this machine's.")
            : new Finding(Sign.Attention, Subject, string.Create(CultureInfo.InvariantCulture, $"its clock differs from this machine's by {off.TotalSeconds:0} s."), "Let both keep network time. Hubs agree all the same: they measure the database's clock.");
    }

    private static async Task<object?> Ask(NpgsqlConnection connection, string sql, CancellationToken cancellationToken)
    {
        await using var command = new NpgsqlCommand(sql, connection);
        return await command.ExecuteScalarAsync(cancellationToken);
    }
}
