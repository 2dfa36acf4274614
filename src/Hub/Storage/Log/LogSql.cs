using System.Data.Common;

namespace TeleHearing.Hub.Storage.Log;

/// <summary>The statements on the way of every command, in words that SQLite and PostgreSQL both take. EF Core makes and reads the same tables; written by hand because of what it costs here (docs/decisions/0046).</summary>
internal static class LogSql
{
    public const string Receipt = """SELECT "SessionId", "Fingerprint", "SealedReceipt" FROM command_receipts WHERE "CommandId" = @id""";

    public const string Cursor = """SELECT "AcknowledgedSequence" FROM kit_cursors WHERE "JournalId" = @id""";

    public const string Changed = """SELECT "SessionId", MAX("Position") FROM session_events WHERE "Position" > @position GROUP BY "SessionId" """;

    public const string Head = """SELECT "Sequence", "Hash" FROM session_events WHERE "SessionId" = @id ORDER BY "Sequence" DESC LIMIT 1""";

    public const string FactVersion = """SELECT "FactVersion" FROM kits WHERE "KitId" = @id""";

    public const string AddEvent = """
        INSERT INTO session_events ("SessionId", "Sequence", "Kind", "Shape", "Payload", "TimeTicks", "PreviousHash", "Hash")
        VALUES (@id, @sequence, @kind, @shape, @payload, @time, @previous, @hash)
        """;

    public const string MoveSession = """UPDATE sessions SET "Version" = @version, "LastEventTicks" = @time WHERE "SessionId" = @id""";

    // Kits are indexed: to name one here writes a page of that index, also when it stays the same.
    public const string ListSession = """
        UPDATE sessions SET "Stage" = @stage, "KitId" = @kit, "SealedController" = @controller, "HandoffOpen" = @handoff, "Version" = @version, "LastEventTicks" = @time
        WHERE "SessionId" = @id
        """;

    public const string AddReceipt = """
        INSERT INTO command_receipts ("CommandId", "SessionId", "Fingerprint", "SealedReceipt") VALUES (@id, @session, @fingerprint, @receipt)
        ON CONFLICT DO NOTHING
        """;

    public const string MoveCursor = """UPDATE kit_cursors SET "AcknowledgedSequence" = @sequence WHERE "JournalId" = @id AND "AcknowledgedSequence" < @sequence""";

    public const string AddCursor = """
        INSERT INTO kit_cursors ("JournalId", "KitId", "AcknowledgedSequence") VALUES (@id, @kit, @sequence)
        ON CONFLICT DO NOTHING
        """;

    public const string AuditHead = """SELECT "Sequence", "Hash", "TimeTicks" FROM audit_entries ORDER BY "Sequence" DESC LIMIT 1""";

    public const string AddAudit = """
        INSERT INTO audit_entries ("Sequence", "Kind", "Shape", "Payload", "TimeTicks", "PreviousHash", "Hash")
        VALUES (@sequence, @kind, @shape, @payload, @time, @previous, @hash)
        """;

    public const string MoveAudit = """
        INSERT INTO audit_head ("Id", "Entries") VALUES (1, @entries)
        ON CONFLICT ("Id") DO UPDATE SET "Entries" = excluded."Entries"
        """;

    /// <summary>A statement with its parameters, to be used many times on one connection.</summary>
    public static DbCommand Prepare(DbConnection connection, string sql, params ReadOnlySpan<string> parameters)
    {
        var command = connection.CreateCommand();
        command.CommandText = sql;
        foreach (var name in parameters)
        {
            var parameter = command.CreateParameter();
            parameter.ParameterName = "@" + name;
            command.Parameters.Add(parameter);
        }

        return command;
    }
}
