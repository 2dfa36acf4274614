using System.Globalization;
using Microsoft.Data.Sqlite;
using TeleHearing.Hub.Storage;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Tests.Storage;

/// <summary>Makes of a store one as versions wrote it that sealed nothing: every text open, every chain hashed over open texts.</summary>
internal sealed class OpenStore(SqliteConnection store, Seals seals)
{
    private static CancellationToken Token => TestContext.Current.CancellationToken;

    public async Task Make()
    {
        await Chain("session_events", "SessionId", owner => SessionEventRow.ChainOf(Guid.Parse(owner)));
        await Chain("kit_facts", "KitId", KitFactRow.ChainOf);
        await Chain("fleet_facts", "''", _ => FleetFactRow.Chain);
        await Sessions();
        await Column("kits", "Where", "KitId", "SealedWhere", row => seals.Open(Seals.Clinic, $"kits/{row[0]}", (string)row[1])!);
        await Column("AspNetUsers", "DisplayName", "Id", "SealedName", row => seals.Open(Seals.Clinic, $"accounts/{row[0]}", (string)row[1])!);
        await Column("command_receipts", "ReceiptJson", "CommandId", "SealedReceipt", row => seals.Open(row[2] is string session && Guid.Parse(session) != Guid.Empty ? Seals.ScopeOf(Guid.Parse(session)) : Seals.Clinic, $"receipts/{Guid.Parse((string)row[0]):N}", (string)row[1])!, ", SessionId");
        await Run("ALTER TABLE protocols ADD COLUMN KeptBy TEXT NOT NULL DEFAULT ''; ALTER TABLE protocols DROP COLUMN SealedKeptBy; DROP TABLE data_keys; DROP TABLE erasures;");
    }

    private async Task Chain(string table, string owner, Func<string, string> nameOf)
    {
        var heads = new Dictionary<string, byte[]>(StringComparer.Ordinal);
        foreach (var row in await Read($"SELECT rowid, {owner}, Sequence, Kind, Shape, Payload, TimeTicks FROM {table} ORDER BY 2, Sequence"))
        {
            var chain = nameOf((string)row[1]);
            var (previous, sequence, payload) = (heads.GetValueOrDefault(chain, HashChain.Start), (long)row[2], seals.Open(chain, (long)row[2], (string)row[3], (string)row[5]));
            heads[chain] = HashChain.Next(previous, chain, sequence, (string)row[3], (int)(long)row[4], (long)row[6], payload);
            await Run($"UPDATE {table} SET Payload = $0, PreviousHash = $1, Hash = $2 WHERE rowid = {row[0]}", payload, previous, heads[chain]);
        }
    }

    private async Task Sessions()
    {
        await Run("ALTER TABLE sessions ADD COLUMN PersonReference TEXT NOT NULL DEFAULT ''; ALTER TABLE sessions ADD COLUMN PersonName TEXT NOT NULL DEFAULT ''; ALTER TABLE sessions ADD COLUMN BirthDate TEXT NOT NULL DEFAULT ''; ALTER TABLE sessions ADD COLUMN Referral TEXT NOT NULL DEFAULT ''; ALTER TABLE sessions ADD COLUMN Place TEXT NOT NULL DEFAULT ''; ALTER TABLE sessions ADD COLUMN ControllerName TEXT NULL;");
        foreach (var row in await Read("SELECT SessionId, SealedPlan, SealedController FROM sessions"))
        {
            var id = Guid.Parse((string)row[0]);
            var session = new SessionEntity { SessionId = id, SealedPlan = (string)row[1], SealedController = row[2] as string, PersonReference = "", PersonName = "", Referral = "", Place = "", KitId = "", ClinicianId = "", Stage = "" };
            ((ISealedRow)session).Open(seals);
            await Run("UPDATE sessions SET PersonReference = $0, PersonName = $1, BirthDate = $2, Referral = $3, Place = $4, ControllerName = $5 WHERE SessionId = $6", session.PersonReference, session.PersonName, session.BirthDate.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), session.Referral, session.Place, session.ControllerName ?? (object)DBNull.Value, row[0]);
        }

        await Run("ALTER TABLE sessions DROP COLUMN SealedPlan; ALTER TABLE sessions DROP COLUMN SealedController; ALTER TABLE sessions DROP COLUMN ErasedTicks;");
    }

    private async Task Column(string table, string open, string key, string closed, Func<object[], string> text, string more = "")
    {
        await Run($"ALTER TABLE {table} ADD COLUMN \"{open}\" TEXT NOT NULL DEFAULT ''");
        foreach (var row in await Read($"SELECT {key}, {closed}{more} FROM {table}"))
        {
            await Run($"UPDATE {table} SET \"{open}\" = $0 WHERE {key} = $1", text(row), row[0]);
        }

        await Run($"ALTER TABLE {table} DROP COLUMN {closed}");
    }

    private async Task<List<object[]>> Read(string sql)
    {
        await using var command = store.CreateCommand();
        command.CommandText = sql;
        await using var reader = await command.ExecuteReaderAsync(Token);
        var rows = new List<object[]>();
        while (await reader.ReadAsync(Token))
        {
            var row = new object[reader.FieldCount];
            reader.GetValues(row);
            rows.Add(row);
        }

        return rows;
    }

    private async Task Run(string sql, params object[] values)
    {
        await using var command = store.CreateCommand();
        command.CommandText = sql;
        foreach (var (index, value) in values.Index())
        {
            command.Parameters.AddWithValue($"${index}", value);
        }

        await command.ExecuteNonQueryAsync(Token);
    }
}
