using System.Data.Common;
using Microsoft.Data.Sqlite;
using Npgsql;
using TeleHearing.Hub.Hosting;
using TeleHearing.Hub.Storage.Postgres;

namespace TeleHearing.Hub.Storage.Sealing;

/// <summary>Connections to the database beside those of its context. Any thread.</summary>
internal sealed class KeyDatabase(HubSettings settings)
{
    private readonly string _connection = settings.Database is { } database
        ? PostgresStore.Connection(database)
        : new SqliteConnectionStringBuilder { DataSource = Path.Combine(settings.DataFolder, StorageRegistration.FileName), Mode = SqliteOpenMode.ReadWrite }.ToString();

    /// <summary>Opens one that writes durably.</summary>
    public DbConnection Open()
    {
        if (settings.Database is not null)
        {
            var shared = new NpgsqlConnection(_connection);
            shared.Open();
            return shared;
        }

        var connection = new SqliteConnection(_connection);
        connection.Open();
        using var command = connection.CreateCommand();
        command.CommandText = "PRAGMA busy_timeout=5000; PRAGMA synchronous=FULL;";
        command.ExecuteNonQuery();
        return connection;
    }

    /// <summary>A command with its values.</summary>
    public static DbCommand Command(DbConnection connection, string sql, params ReadOnlySpan<(string Name, object Value)> values)
    {
        var command = connection.CreateCommand();
        command.CommandText = sql;
        foreach (var (name, value) in values)
        {
            var parameter = command.CreateParameter();
            (parameter.ParameterName, parameter.Value) = (name, value);
            command.Parameters.Add(parameter);
        }

        return command;
    }
}
