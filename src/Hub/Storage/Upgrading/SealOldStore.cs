using System.Data.Common;
using System.Globalization;
using System.Security.Cryptography;
using System.Text;
using Microsoft.EntityFrameworkCore;
using Microsoft.EntityFrameworkCore.Storage;
using TeleHearing.Hub.Audit;
using TeleHearing.Hub.Storage.Sealing;

namespace TeleHearing.Hub.Storage.Upgrading;

/// <summary>Seals what an older version stored open, inside the transaction of the upgrade. Chains hash what is stored, so each is hashed anew; what it was before stands in the audit as one digest (docs/decisions/0044).</summary>
/// <remarks>An entry that did not fit keeps the hash it had, and so does all after it: what was changed from outside before is found afterwards at the same place.</remarks>
internal static class SealOldStore
{
    /// <summary>What is added to the tables; what lay open is taken out once it is sealed.</summary>
    public static string[] Tables { get; } =
    [
        """
        CREATE TABLE IF NOT EXISTS "data_keys" (
            "Position" INTEGER NOT NULL CONSTRAINT "PK_data_keys" PRIMARY KEY AUTOINCREMENT,
            "Scope" TEXT NOT NULL,
            "Wrapped" TEXT NULL,
            "MadeTicks" INTEGER NOT NULL,
            "DestroyedTicks" INTEGER NULL
        );
        """,
        """CREATE UNIQUE INDEX IF NOT EXISTS "IX_data_keys_Scope" ON "data_keys" ("Scope");""",
        """
        CREATE TABLE "erasures" (
            "ErasureId" TEXT NOT NULL CONSTRAINT "PK_erasures" PRIMARY KEY,
            "AtTicks" INTEGER NOT NULL,
            "SealedAccount" TEXT NOT NULL
        );
        """,
        """ALTER TABLE "sessions" ADD COLUMN "SealedPlan" TEXT NULL;""",
        """ALTER TABLE "sessions" ADD COLUMN "SealedController" TEXT NULL;""",
        """ALTER TABLE "sessions" ADD COLUMN "ErasedTicks" INTEGER NULL;""",
        """ALTER TABLE "kits" ADD COLUMN "SealedWhere" TEXT NULL;""",
        """ALTER TABLE "command_receipts" ADD COLUMN "SealedReceipt" TEXT NULL;""",
        """ALTER TABLE "protocols" ADD COLUMN "SealedKeptBy" TEXT NULL;""",
        """ALTER TABLE "AspNetUsers" ADD COLUMN "SealedName" TEXT NULL;""",
    ];

    /// <summary>Mark of a store whose texts are sealed and whose free pages and photos may not be yet.</summary>
    private const int Unfinished = 1;

    private static readonly string[] _open =
    [
        """ALTER TABLE "sessions" DROP COLUMN "PersonReference";""",
        """ALTER TABLE "sessions" DROP COLUMN "PersonName";""",
        """ALTER TABLE "sessions" DROP COLUMN "BirthDate";""",
        """ALTER TABLE "sessions" DROP COLUMN "Referral";""",
        """ALTER TABLE "sessions" DROP COLUMN "Place";""",
        """ALTER TABLE "sessions" DROP COLUMN "ControllerName";""",
        """ALTER TABLE "kits" DROP COLUMN "Where";""",
        """ALTER TABLE "command_receipts" DROP COLUMN "ReceiptJson";""",
        """ALTER TABLE "protocols" DROP COLUMN "KeptBy";""",
        """ALTER TABLE "AspNetUsers" DROP COLUMN "DisplayName";""",
    ];

    /// <summary>Whether what follows on the commit of the upgrade is still to be done.</summary>
    public static bool IsUnfinished(HubContext context) => context.Database.SqlQueryRaw<long>("SELECT user_version AS Value FROM pragma_user_version").Single() == Unfinished;

    /// <summary>Takes the mark away.</summary>
    public static void Finished(HubContext context) => context.Database.ExecuteSqlRaw("PRAGMA user_version = 0");

    /// <summary>Makes the keys; before the transaction of the upgrade, for keys are durable before anything is sealed with them.</summary>
    public static void MakeKeys(HubContext context, Seals seals)
    {
        context.Database.ExecuteSqlRaw(Tables[0]);
        context.Database.ExecuteSqlRaw(Tables[1]);
        seals.Keys.Ensure(Seals.Clinic);
        foreach (var session in context.Database.SqlQueryRaw<string>("SELECT SessionId AS Value FROM sessions UNION SELECT SessionId FROM session_events UNION SELECT SessionId FROM command_receipts").ToList())
        {
            if (Guid.TryParse(session, out var id) && id != Guid.Empty)
            {
                seals.Keys.Ensure(Seals.ScopeOf(id));
            }
        }
    }

    /// <summary>Seals everything.</summary>
    public static void Run(HubContext context, Seals seals, TimeProvider time)
    {
        var connection = context.Database.GetDbConnection();
        var transaction = context.Database.CurrentTransaction!.GetDbTransaction();
        var work = new Work(connection, transaction, seals);
        var heads = work.Chain("session_events", "SessionId", owner => Guid.TryParse(owner, out var id) ? SessionEventRow.ChainOf(id) : owner)
            + work.Chain("kit_facts", "KitId", KitFactRow.ChainOf)
            + work.Chain("fleet_facts", "''", _ => FleetFactRow.Chain);
        work.Rows();
        foreach (var sql in _open)
        {
            context.Database.ExecuteSqlRaw(sql);
        }

        Record(context, heads, time);

        // In the file's header, and so in the same transaction (sqlite.org, "PRAGMA user_version"): it stands if and only if the upgrade does.
        context.Database.ExecuteSqlRaw(FormattableString.Invariant($"PRAGMA user_version = {Unfinished}"));
    }

    // The writer of the audit is not running yet, and this belongs into the same transaction.
    private static void Record(HubContext context, string heads, TimeProvider time)
    {
        var entry = new AuditEntry(AuditActs.StoreSealed, null, null, [$"ends of the chains before, SHA-256 {Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(heads)))}"], null);
        var last = context.AuditEntries.AsNoTracking().OrderByDescending(row => row.Sequence).FirstOrDefault();
        var link = HashChain.Extend(last?.Hash ?? HashChain.Start, AuditEntryRow.Chain, last?.Sequence ?? 0, Math.Max(time.GetUtcNow().UtcTicks, last?.TimeTicks ?? 0), [(entry.Act, AuditEntry.Shape, entry.Payload())])[0];
        context.Database.ExecuteSql($"INSERT INTO audit_entries (Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash) VALUES ({link.Sequence}, {link.Kind}, {link.Shape}, {link.Payload}, {link.TimeTicks}, {link.PreviousHash}, {link.Hash})");
        context.Database.ExecuteSql($"INSERT INTO audit_head (Id, Entries) VALUES (1, {link.Sequence}) ON CONFLICT (Id) DO UPDATE SET Entries = excluded.Entries");
    }

    private sealed class Work(DbConnection connection, DbTransaction transaction, Seals seals)
    {
        /// <summary>Seals and hashes anew the chains of a table.</summary>
        /// <returns>Their ends as they were, a line each.</returns>
        public string Chain(string table, string owner, Func<string, string> nameOf)
        {
            var ends = new StringBuilder();
            foreach (var rows in Read($"SELECT rowid, {owner}, Sequence, Kind, Shape, Payload, TimeTicks, PreviousHash, Hash FROM {table} ORDER BY 2, Sequence").GroupBy(row => (string)row[1]))
            {
                var (chain, before, after, whole) = (nameOf(rows.Key), HashChain.Start, HashChain.Start, true);
                foreach (var row in rows)
                {
                    var (sequence, kind, shape, payload, ticks, previous, hash) = ((long)row[2], (string)row[3], (int)(long)row[4], (string)row[5], (long)row[6], (byte[])row[7], (byte[])row[8]);
                    whole = whole && previous.AsSpan().SequenceEqual(before) && hash.AsSpan().SequenceEqual(HashChain.Next(before, chain, sequence, kind, shape, ticks, payload));
                    before = hash;
                    var stored = Seal.IsSealed(payload) ? payload : seals.Close(chain, sequence, payload);
                    var (newPrevious, newHash) = whole ? (after, HashChain.Next(after, chain, sequence, kind, shape, ticks, stored)) : (previous, hash);
                    Write($"UPDATE {table} SET Payload = $1, PreviousHash = $2, Hash = $3 WHERE rowid = $4", stored, newPrevious, newHash, row[0]);
                    after = newHash;
                }

                ends.Append(CultureInfo.InvariantCulture, $"{Convert.ToHexStringLower(before)} {chain}\n");
            }

            return ends.ToString();
        }

        /// <summary>Seals the texts of rows that stand in no chain.</summary>
        public void Rows()
        {
            foreach (var row in Read("SELECT SessionId, PersonReference, PersonName, BirthDate, Referral, Place, ControllerName FROM sessions"))
            {
                var id = Guid.Parse((string)row[0]);
                ISealedRow session = new SessionEntity
                {
                    SessionId = id,
                    PersonReference = (string)row[1],
                    PersonName = (string)row[2],
                    BirthDate = DateOnly.Parse((string)row[3], CultureInfo.InvariantCulture),
                    Referral = (string)row[4],
                    Place = (string)row[5],
                    ControllerName = row[6] as string,
                    KitId = string.Empty,
                    ClinicianId = string.Empty,
                    Stage = string.Empty,
                };
                session.Seal(seals);
                var filled = (SessionEntity)session;
                Write("UPDATE sessions SET SealedPlan = $1, SealedController = $2 WHERE SessionId = $3", filled.SealedPlan, filled.SealedController, row[0]);
            }

            foreach (var row in Read("SELECT KitId, \"Where\" FROM kits"))
            {
                Write("UPDATE kits SET SealedWhere = $1 WHERE KitId = $2", KitEntity.SealWhere(seals, (string)row[0], (string)row[1]), row[0]);
            }

            foreach (var row in Read("SELECT CommandId, SessionId, ReceiptJson FROM command_receipts"))
            {
                var receipt = new CommandReceiptRow { CommandId = Guid.Parse((string)row[0]), SessionId = Guid.Parse((string)row[1]), Fingerprint = [], ReceiptJson = (string)row[2] };
                ((ISealedRow)receipt).Seal(seals);
                Write("UPDATE command_receipts SET SealedReceipt = $1 WHERE CommandId = $2", receipt.SealedReceipt, row[0]);
            }

            foreach (var row in Read("SELECT ProtocolId, Version, KeptBy FROM protocols"))
            {
                var protocol = new ProtocolRow { ProtocolId = (string)row[0], Version = (int)(long)row[1], Text = string.Empty, KeptBy = (string)row[2] };
                ((ISealedRow)protocol).Seal(seals);
                Write("UPDATE protocols SET SealedKeptBy = $1 WHERE ProtocolId = $2 AND Version = $3", protocol.SealedKeptBy, row[0], row[1]);
            }

            foreach (var row in Read("SELECT Id, DisplayName FROM AspNetUsers"))
            {
                var person = new Identity.HubPerson { Id = (string)row[0], DisplayName = (string)row[1] };
                ((ISealedRow)person).Seal(seals);
                Write("UPDATE AspNetUsers SET SealedName = $1 WHERE Id = $2", person.SealedName, row[0]);
            }
        }

        private List<object[]> Read(string sql)
        {
            using var command = connection.CreateCommand();
            (command.CommandText, command.Transaction) = (sql, transaction);
            using var reader = command.ExecuteReader();
            var rows = new List<object[]>();
            while (reader.Read())
            {
                var row = new object[reader.FieldCount];
                reader.GetValues(row);
                rows.Add(row);
            }

            return rows;
        }

        private void Write(string sql, params object?[] values)
        {
            using var command = connection.CreateCommand();
            (command.CommandText, command.Transaction) = (sql, transaction);
            foreach (var (index, value) in values.Index())
            {
                var parameter = command.CreateParameter();
                (parameter.ParameterName, parameter.Value) = (string.Create(CultureInfo.InvariantCulture, $"${index + 1}"), value ?? DBNull.Value);
                command.Parameters.Add(parameter);
            }

            command.ExecuteNonQuery();
        }
    }
}
