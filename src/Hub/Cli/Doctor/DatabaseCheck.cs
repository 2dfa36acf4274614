using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Storage;

namespace TeleHearing.Hub.Cli.Doctor;

/// <summary>Whether the database opens, is of this version, is sound, and no session's log was changed. Opens it for reading only.</summary>
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
            return
            [
                await Tables(connection, file, cancellationToken),
                await Integrity(connection, cancellationToken),
                .. await Chains(connection, cancellationToken),
                .. await KitChains(connection, cancellationToken),
            ];
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
            : found is long older && SchemaUpgrades.Reaches((int)older)
            ? new Finding(Sign.Attention, Subject, string.Create(CultureInfo.InvariantCulture, $"{file} opens; its tables are of version {older}."), string.Create(CultureInfo.InvariantCulture, $"The next start brings them to version {StorageRegistration.SchemaVersion}; a copy from before is then kept in the folder."))
            : new Finding(Sign.Fault, Subject, SchemaUpgrades.OtherVersion((int?)(found as long?)));
    }

    private static async Task<Finding> Integrity(SqliteConnection connection, CancellationToken cancellationToken)
    {
        var answer = await Scalar(connection, "PRAGMA integrity_check(1)", cancellationToken) as string;
        return answer == "ok"
            ? new Finding(Sign.Ok, "database pages", "whole.")
            : new Finding(Sign.Fault, "database pages", $"damaged: {answer}.", "Stop the hub, keep a copy of the folder, and restore the last good backup.");
    }

    private static async Task<IReadOnlyList<Finding>> Chains(SqliteConnection connection, CancellationToken cancellationToken)
    {
        var sessions = new List<(Guid Id, long Version)>();
        await using (var command = connection.CreateCommand())
        {
            command.CommandText = "SELECT SessionId, Version FROM sessions ORDER BY SessionId";
            await using var reader = await command.ExecuteReaderAsync(cancellationToken);
            while (await reader.ReadAsync(cancellationToken))
            {
                sessions.Add((reader.GetGuid(0), reader.GetInt64(1)));
            }
        }

        List<Finding> broken = [];
        foreach (var (id, version) in sessions)
        {
            var integrity = HashChain.Verify(await Rows(connection, id, cancellationToken), version);
            if (!integrity.Valid)
            {
                broken.Add(new Finding(Sign.Fault, "session log", string.Create(CultureInfo.InvariantCulture, $"session {id} was changed outside the hub: it does not fit its hashes from event {integrity.BrokenAtSequence} on."), "It can be read and not changed. Compare it with a backup and with the exported events."));
            }
        }

        return broken.Count > 0 ? broken : [new Finding(Sign.Ok, "session logs", string.Create(CultureInfo.InvariantCulture, $"{sessions.Count} sessions, every event fits its hash."))];
    }

    private static async Task<IReadOnlyList<SessionEventRow>> Rows(SqliteConnection connection, Guid sessionId, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = "SELECT Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM session_events WHERE SessionId = $session ORDER BY Sequence";
        command.Parameters.AddWithValue("$session", sessionId);
        await using var reader = await command.ExecuteReaderAsync(cancellationToken);
        var rows = new List<SessionEventRow>();
        while (await reader.ReadAsync(cancellationToken))
        {
            rows.Add(new SessionEventRow
            {
                SessionId = sessionId,
                Sequence = reader.GetInt64(0),
                Kind = reader.GetString(1),
                Shape = reader.GetInt32(2),
                Payload = reader.GetString(3),
                TimeTicks = reader.GetInt64(4),
                PreviousHash = reader.GetFieldValue<byte[]>(5),
                Hash = reader.GetFieldValue<byte[]>(6),
            });
        }

        return rows;
    }

    private static async Task<IReadOnlyList<Finding>> KitChains(SqliteConnection connection, CancellationToken cancellationToken)
    {
        if (await Scalar(connection, "SELECT 1 FROM sqlite_master WHERE name = 'kit_facts'", cancellationToken) is null)
        {
            return [];
        }

        var rows = new List<KitFactRow>();
        await using (var command = connection.CreateCommand())
        {
            command.CommandText = "SELECT KitId, Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM kit_facts ORDER BY KitId, Sequence";
            await using var reader = await command.ExecuteReaderAsync(cancellationToken);
            while (await reader.ReadAsync(cancellationToken))
            {
                rows.Add(new KitFactRow
                {
                    KitId = reader.GetString(0),
                    Sequence = reader.GetInt64(1),
                    Kind = reader.GetString(2),
                    Shape = reader.GetInt32(3),
                    Payload = reader.GetString(4),
                    TimeTicks = reader.GetInt64(5),
                    PreviousHash = reader.GetFieldValue<byte[]>(6),
                    Hash = reader.GetFieldValue<byte[]>(7),
                });
            }
        }

        List<Finding> broken = [];
        await using var kits = connection.CreateCommand();
        kits.CommandText = "SELECT KitId, FactVersion FROM kits ORDER BY KitId";
        await using var list = await kits.ExecuteReaderAsync(cancellationToken);
        while (await list.ReadAsync(cancellationToken))
        {
            var kitId = list.GetString(0);
            var integrity = HashChain.Verify([.. rows.Where(row => row.KitId == kitId)], list.GetInt64(1));
            if (!integrity.Valid)
            {
                broken.Add(new Finding(Sign.Fault, "kit facts", string.Create(CultureInfo.InvariantCulture, $"those of {kitId} were changed outside the hub: they do not fit their hashes from number {integrity.BrokenAtSequence} on."), "They can be read and not added to. Compare the folder with a backup."));
            }
        }

        return broken.Count > 0 ? broken : [new Finding(Sign.Ok, "kit facts", string.Create(CultureInfo.InvariantCulture, $"{rows.Count}, every one fits its hash."))];
    }

    private static async Task<object?> Scalar(SqliteConnection connection, string sql, CancellationToken cancellationToken)
    {
        await using var command = connection.CreateCommand();
        command.CommandText = sql;
        return await command.ExecuteScalarAsync(cancellationToken);
    }
}
