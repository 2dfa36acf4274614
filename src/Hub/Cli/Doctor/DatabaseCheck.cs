using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the database opens, is of this version, and is sound. Opens it for reading only.</summary>
internal static class DatabaseCheck
{
    private const string Subject = "database";

    public static async Task<IReadOnlyList<Finding>> Examine(string folder, CancellationToken cancellationToken)
    {
        // The demonstration keeps its hub in a folder of its own, beside the kit's.
        string[] places = [Path.Combine(folder, StorageRegistration.FileName), Path.Combine(folder, "hub", StorageRegistration.FileName)];
        if (places.FirstOrDefault(File.Exists) is not { } file)
        {
            return [new Finding(Sign.Attention, Subject, $"there is none in {folder} yet.", "The first start makes it.")];
        }

        try
        {
            await using var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = file, Mode = SqliteOpenMode.ReadOnly, Pooling = false }.ToString());
            await connection.OpenAsync(cancellationToken);
            return [await Tables(connection, file, cancellationToken), await Integrity(connection, cancellationToken)];
        }
        catch (SqliteException fault)
        {
            return [new Finding(Sign.Fault, Subject, $"{file} cannot be read: {fault.Message}.", "Nothing was changed. Stop the hub, keep a copy of the folder, and restore the last good backup.")];
        }
    }

    private static async Task<Finding> Tables(SqliteConnection connection, string file, CancellationToken cancellationToken)
    {
        var found = await Scalar(connection, "SELECT Version FROM schema_version WHERE Id = 1", cancellationToken);
        return found is long version && version == StorageRegistration.SchemaVersion
            ? new Finding(Sign.Ok, Subject, $"{file} opens; its tables are of version {version}.")
            : new Finding(Sign.Fault, Subject, string.Create(CultureInfo.InvariantCulture, $"{file} has tables of version {found ?? "unknown"}, this hub needs {StorageRegistration.SchemaVersion}."), "Use the hub version that wrote it, or name another folder.");
    }

    private static async Task<Finding> Integrity(SqliteConnection connection, CancellationToken cancellationToken)
    {
        var answer = await Scalar(connection, "PRAGMA integrity_check(1)", cancellationToken) as string;
        return answer == "ok"
            ? new Finding(Sign.Ok, "database pages", "whole.")
            : new Finding(Sign.Fault, "database pages", $"damaged: {answer}.", "Stop the hub, keep a copy of the folder, and restore the last good backup.");
    }

    private static async Task<object?> Scalar(SqliteConnection connection, string sql, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        return await command.ExecuteScalarAsync(cancellationToken);
    }
}
